//! What a fire in a furnished room with an open front will probably do: how fast it grows,
//! when an alarm and a sprinkler respond, when the room flashes over, how far the heat
//! reaches, and how much water it takes.
//!
//! Everything here is a **screening estimate**. The authority having jurisdiction, the
//! safety officer, and the listed product's data decide.
//!
//! Units, unless a name says otherwise: meters, seconds, kilowatts, kilograms, kilojoules,
//! kelvins, pascals. RTI is in (m·s)^½ and the conductance of a link in (m/s)^½.
//!
//! The equations come from documents of the National Institute of Standards and Technology
//! (NIST), above all the technical reference of its zone model CFAST and the manual of its
//! collection of empirical correlations. Each module names its own.

#![expect(
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "counts of fires and of steps are small, and none is below zero"
)]

pub mod bands;
pub mod detect;
pub mod flashover;
pub mod growth;
pub mod items;
pub mod radiation;
pub mod room;
pub mod sampling;
pub mod water;
pub mod zone;

/// 0 °C in kelvins.
pub const FREEZING: f64 = 273.15;
/// Acceleration of gravity, m/s².
pub const GRAVITY: f64 = 9.806_65;
/// The Stefan–Boltzmann constant, kW/(m²·K⁴).
pub const STEFAN_BOLTZMANN: f64 = 5.670_374_419e-11;
/// Specific heat of air, kJ/(kg·K).
pub const AIR_HEAT: f64 = 1.012;
/// Density of air times its temperature, kg·K/m³.
pub const AIR_DENSITY: f64 = 352.98;

/// One foot in meters, exactly.
pub const FOOT: f64 = 0.3048;
/// One US gallon in liters, exactly.
pub const GALLON: f64 = 3.785_411_784;
/// One pound per square inch in kilopascals.
pub const PSI: f64 = 6.894_757_293;

/// A Celsius temperature in kelvins.
#[must_use]
pub fn kelvin(celsius: f64) -> f64 {
    celsius + FREEZING
}

/// Heat given off by a black surface at this temperature, kW/m².
#[must_use]
pub fn black_body(kelvin: f64) -> f64 {
    STEFAN_BOLTZMANN * fourth(kelvin)
}

fn fourth(value: f64) -> f64 {
    let square = value * value;
    square * square
}

/// `value^(2/3)`, much faster than a general power.
fn two_thirds(value: f64) -> f64 {
    let root = value.cbrt();
    root * root
}

#[cfg(test)]
pub(crate) mod testing {
    /// Asserts that a value is within a part of what it should be.
    #[track_caller]
    pub fn near(value: f64, wanted: f64, part: f64) {
        assert!((value - wanted).abs() <= part * wanted.abs(), "{value} instead of {wanted}");
    }
}
