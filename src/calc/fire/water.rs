//! Water: what a sprinkler takes and how long the tank lasts, and what a hose line needs.
//!
//! The data sheet of the listed head decides about its flow and pressure, and the pump
//! operator about the hose lines. These are screening figures beside them.
//!
//! Units of the US fire service: gallons per minute, pounds per square inch, feet, inches.

use super::{FOOT, GALLON, PSI};

/// Pressure that a foot of height takes, psi: water of 999 kg/m³.
pub const PSI_PER_FOOT: f64 = 9.806_65 * 999.0 / 1000.0 / PSI * FOOT;

/// Flow of a sprinkler or nozzle, gpm, by its K-factor in gpm/√psi: K·√p. NFPA 13 and 13D.
///
/// ```
/// use burnday::calc::fire::water::flow;
///
/// assert!((flow(4.9, 7.0) - 12.964).abs() < 0.001);
/// ```
#[must_use]
pub fn flow(k: f64, psi: f64) -> f64 {
    k * psi.sqrt()
}

/// The pressure for a flow, psi.
#[must_use]
pub fn pressure(k: f64, gpm: f64) -> f64 {
    (gpm / k).powi(2)
}

/// How long a tank lasts, minutes, less what can't be drawn from it.
#[must_use]
pub fn tank_minutes(gallons: f64, unusable: f64, gpm: f64) -> f64 {
    (gallons - unusable).max(0.0) / gpm
}

/// Water over an area, mm/s, from a flow in gpm and an area in ft².
#[must_use]
pub fn density(gpm: f64, square_feet: f64) -> f64 {
    gpm * GALLON / 60.0 / (square_feet * FOOT * FOOT)
}

/// How fast a sprinkler puts a fire out at the slowest, s: its heat falls by e within
/// 3·w^−1.8 for w mm/s. Madrzykowski and Vettori, NISTIR 4833, as CFAST's technical reference
/// gives it. A direct hit is much faster; a head that the fire overwhelms is not covered.
#[must_use]
pub fn decay_time(millimeters_per_second: f64) -> f64 {
    3.0 * millimeters_per_second.powf(-1.8)
}

/// Flow of a smooth-bore tip, gpm, by its diameter in inches: 29.7·d²·√NP.
#[must_use]
pub fn smooth_bore(inches: f64, psi: f64) -> f64 {
    29.7 * inches * inches * psi.sqrt()
}

/// Nozzle reaction of a smooth-bore tip, lbf: 1.57·d²·NP.
#[must_use]
pub fn smooth_bore_reaction(inches: f64, psi: f64) -> f64 {
    1.57 * inches * inches * psi
}

/// Nozzle reaction of a fog nozzle, lbf: 0.0505·q·√NP.
#[must_use]
pub fn fog_reaction(gpm: f64, psi: f64) -> f64 {
    0.0505 * gpm * psi.sqrt()
}

/// Friction coefficients by the inside diameter of a hose, in inches.
pub const HOSES: [(f64, f64); 3] = [(1.75, 15.5), (2.5, 2.0), (5.0, 0.08)];

/// Friction loss in a hose, psi: C·(q/100)²·(L/100), L in feet.
#[must_use]
pub fn friction(coefficient: f64, gpm: f64, feet: f64) -> f64 {
    coefficient * (gpm / 100.0).powi(2) * feet / 100.0
}

/// Measured reach of solid jets at 35°: tip in mm, pressure in bar, reach in m. Theobald,
/// in NIST's collection of experiments. A fog stream reaches much less.
pub const REACHES: [(f64, f64, f64); 3] = [(13.0, 2.1, 24.4), (13.0, 4.1, 34.4), (19.0, 4.1, 44.2)];

/// What a burn needs, gallons: flow for so many minutes and a reserve of half again, as
/// NFPA 1403 asks (from memory).
#[must_use]
pub fn needed(gpm: f64, minutes: f64) -> f64 {
    gpm * minutes * 1.5
}

#[cfg(test)]
mod tests;
