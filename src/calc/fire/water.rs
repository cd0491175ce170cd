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
mod tests {
    use super::super::testing::near;
    use super::*;

    /// "13 gpm at 7 psi" is trade text about a head of K 4.9; the rest follows from K·√p.
    #[test]
    fn sprinklers_and_their_tank() {
        near(flow(4.9, 7.0), 12.964, 1e-4);
        near(flow(4.9, 7.0) * GALLON, 49.07, 1e-4);
        near(pressure(4.9, 13.0), 7.04, 1e-3);
        near(flow(4.9, 16.0), 19.60, 1e-4);
        near(flow(4.9, 25.0), 24.50, 1e-4);
        near(flow(5.6, 7.0), 14.82, 5e-4);
        near(flow(4.9, 7.0) * 10.0, 129.6, 1e-3);
        near(flow(4.9, 7.0) * 2.0, 25.9, 2e-3);
        near(tank_minutes(129.64, 0.0, 12.964), 10.0, 1e-4);
        assert!(tank_minutes(10.0, 20.0, 13.0).abs() < 1e-12);
        near(PSI_PER_FOOT, 0.433, 1e-3);
        near(needed(100.0, 10.0), 1500.0, 1e-12);
    }

    /// The formula of CFAST's technical reference, evaluated for 13 gpm on 8 × 8 ft.
    #[test]
    fn a_sprinkler_puts_a_fire_out_slowly_at_worst() {
        near(density(flow(4.9, 7.0), 64.0), 0.1376, 1e-3);
        near(density(13.0, 64.0), 0.137_94, 1e-4);
        let tau = decay_time(density(13.0, 64.0));
        near(tau, 106.1, 1e-3);
        for (time, heat) in [(30.0, 226.1), (60.0, 170.4), (120.0, 96.8)] {
            near(300.0 * f64::exp(-time / tau), heat, 1e-3);
        }
        near(decay_time(density(6.4, 64.0)), 379.9, 1e-3);
    }

    /// Friction coefficients as a fire department prints them; formulas of the trade, from
    /// memory.
    #[test]
    fn hose_lines() {
        for (inches, psi, gpm, reaction) in
            [(0.875, 50.0, 160.8, 60.1), (0.9375, 50.0, 184.6, 69.0), (1.125, 50.0, 265.8, 99.4)]
        {
            near(smooth_bore(inches, psi), gpm, 5e-4);
            near(smooth_bore_reaction(inches, psi), reaction, 5e-4);
        }
        near(friction(HOSES[0].1, 150.0, 200.0), 69.75, 1e-9);
        near(fog_reaction(150.0, 100.0), 75.75, 1e-9);
        near(tank_minutes(300.0, 0.0, 150.0), 2.0, 1e-9);
    }
}
