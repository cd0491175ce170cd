//! How much heat makes a room flash over: three published correlations, which disagree by two
//! to four times for a wide opening, and the temperature of the layer by a fourth. All of them
//! are weak evidence for a room with an open front.

use super::room::Room;

/// Heat release at flashover by each correlation, kW.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thresholds {
    /// Babrauskas: 750·A√H.
    pub babrauskas: f64,
    /// The lower form in CIBSE Guide E, equation 6.7: 600·A√H.
    pub lower: f64,
    /// Thomas, PD 7974-1 equation 28.
    pub thomas: f64,
    /// McCaffrey, Quintiere and Harkleroad, PD 7974-1 equation 29.
    pub mccaffrey: f64,
}

impl Thresholds {
    /// Of a room, when flashover is expected about `time` seconds after ignition: until then,
    /// heat has gone only part of the way through the walls.
    #[must_use]
    pub fn of(room: &Room, time: f64) -> Self {
        let factor = room.opening.factor();
        Self {
            babrauskas: 750.0 * factor,
            lower: 600.0 * factor,
            thomas: thomas(room.surface(), factor),
            mccaffrey: mccaffrey(room.walls.transfer(time), room.surface(), factor),
        }
    }

    /// All four, kW.
    #[must_use]
    pub fn all(&self) -> [f64; 4] {
        [self.babrauskas, self.lower, self.thomas, self.mccaffrey]
    }

    /// The lowest of them, kW.
    #[must_use]
    pub fn lowest(&self) -> f64 {
        self.all().into_iter().fold(f64::INFINITY, f64::min)
    }

    /// The highest of them, kW.
    #[must_use]
    pub fn highest(&self) -> f64 {
        self.all().into_iter().fold(0.0, f64::max)
    }
}

/// Thomas: 7.8·A + 378·A√H, with the room's surface in m² and the opening's factor in m^2.5.
#[must_use]
pub fn thomas(surface: f64, factor: f64) -> f64 {
    7.8 * surface + 378.0 * factor
}

/// McCaffrey, Quintiere and Harkleroad, with a heat transfer coefficient in kW/(m²·K).
#[must_use]
pub fn mccaffrey(transfer: f64, surface: f64, factor: f64) -> f64 {
    610.0 * (transfer * surface * factor).sqrt()
}

/// The most heat that the air through the opening lets burn inside, kW: 1500·A√H, PD 7974-1
/// equation 33. What is more burns outside.
#[must_use]
pub fn ventilation_limit(factor: f64) -> f64 {
    1500.0 * factor
}

/// How much hotter than outside the layer is after a time, K: McCaffrey, Quintiere and
/// Harkleroad, as in the manual of NIST's empirical correlations.
#[must_use]
pub fn layer_rise(room: &Room, heat: f64, time: f64) -> f64 {
    let lost = room.opening.factor() * room.walls.transfer(time) * room.surface();
    6.85 * (heat * heat / lost).cbrt()
}

#[cfg(test)]
mod tests;
