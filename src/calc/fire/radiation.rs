//! How far the heat reaches: the flame as a point, the flame as a cylinder, and the open front
//! of a room after flashover as a glowing rectangle.
//!
//! Flames as points and cylinders follow the manual of NIST's empirical correlations, and the
//! rectangle the configuration factors of Howell's catalog. Nothing here knows about wind,
//! embers, or a structure that falls. What a person bears is in [`EXPOSURES`].

use super::{AIR_DENSITY, AIR_HEAT, GRAVITY, black_body};
use std::f64::consts::PI;

/// The part of a fire's heat that its flame radiates: the manual's value, at the upper end of
/// the usual 0.30 to 0.35.
pub const RADIATED: f64 = 0.35;

/// Heat at a distance in m from a flame taken as a point, kW/m². It holds beyond about two
/// and a half diameters of the fire. NUREG-1805, equation 5-1.
///
/// ```
/// use burnday::calc::fire::radiation::{RADIATED, point_source};
///
/// // 2 MW at 20 ft.
/// assert!((point_source(2000.0, RADIATED, 6.096) - 1.499).abs() < 0.001);
/// ```
#[must_use]
pub fn point_source(heat: f64, radiated: f64, distance: f64) -> f64 {
    radiated * heat / (4.0 * PI * distance * distance)
}

/// The distance at which [`point_source`] has fallen to a flux, m.
#[must_use]
pub fn point_source_distance(heat: f64, radiated: f64, flux: f64) -> f64 {
    (radiated * heat / (4.0 * PI * flux)).sqrt()
}

/// Length of a flame above a fire of this diameter, m: 0.235·Q^(2/5) − 1.02·D.
#[must_use]
pub fn flame_length(heat: f64, diameter: f64) -> f64 {
    0.235 * heat.powf(0.4) - 1.02 * diameter
}

/// The same from Q*, in air of this temperature in K: D·(3.7·Q*^(2/5) − 1.02).
#[must_use]
pub fn flame_length_by_strength(heat: f64, diameter: f64, ambient: f64) -> f64 {
    let density = AIR_DENSITY / ambient;
    let strength = heat / (density * AIR_HEAT * ambient * (GRAVITY * diameter).sqrt() * diameter * diameter);
    diameter * (3.7 * strength.powf(0.4) - 1.02)
}

/// Heat from a flame to something upright at the height of the fire, kW/m². `distance` goes
/// to the flame's axis; the flame counts as a point at a third of its length.
#[must_use]
pub fn point_source_upright(heat: f64, radiated: f64, flame: f64, distance: f64) -> f64 {
    let up = flame / 3.0;
    let straight = distance.hypot(up);
    point_source(heat, radiated, straight) * distance / straight
}

/// Heat from a flame taken as a cylinder, at the height of its foot, kW/m². `distance` goes to
/// its axis. Made for pools of fuel.
#[must_use]
pub fn cylinder(heat: f64, radiated: f64, diameter: f64, flame: f64, distance: f64) -> f64 {
    let emits = (58.0 * 10_f64.powf(-0.008_23 * diameter)).min(radiated * heat / (PI * diameter * flame));
    let (s, h) = (2.0 * distance / diameter, 2.0 * flame / diameter);
    let a = (h * h + s * s + 1.0) / (2.0 * s);
    let b = (1.0 + s * s) / (2.0 * s);
    let angle = |c: f64| ((c + 1.0) * (s - 1.0) / ((c - 1.0) * (s + 1.0))).sqrt().atan();
    let level =
        (b - 1.0 / s) / (PI * (b * b - 1.0).sqrt()) * angle(b) - (a - 1.0 / s) / (PI * (a * a - 1.0).sqrt()) * angle(a);
    let upright = (h / (s * s - 1.0).sqrt()).atan() / (PI * s) - h / (PI * s) * ((s - 1.0) / (s + 1.0)).sqrt().atan()
        + a * h / (PI * s * (a * a - 1.0).sqrt()) * angle(a);
    emits * level.hypot(upright)
}

/// The part of a small surface's view that a rectangle takes up, parallel to it and with a
/// corner on its normal. Howell's catalog, C-11.
#[must_use]
pub fn corner_view(width: f64, height: f64, distance: f64) -> f64 {
    let (x, y) = (width / distance, height / distance);
    let (across, up) = ((1.0 + x * x).sqrt(), (1.0 + y * y).sqrt());
    (x / across * (y / across).atan() + y / up * (x / up).atan()) / (2.0 * PI)
}

/// Heat in front of the middle of an opening that glows, kW/m².
///
/// ```
/// use burnday::calc::fire::radiation::glowing_opening;
///
/// // 8 × 4 ft at 900 °C, seen from 25 ft.
/// assert!((glowing_opening(1173.15, 1.0, (2.4384, 1.2192), 7.62) - 1.71).abs() < 0.005);
/// ```
#[must_use]
pub fn glowing_opening(kelvin: f64, emissivity: f64, (width, height): (f64, f64), distance: f64) -> f64 {
    emissivity * black_body(kelvin) * 4.0 * corner_view(width / 2.0, height / 2.0, distance)
}

/// The distance at which a flux that falls with distance has fallen to `flux`, m, to the
/// millimeter; none if it is higher everywhere up to a kilometer.
#[must_use]
pub fn distance_to(flux: f64, at: impl Fn(f64) -> f64) -> Option<f64> {
    let (mut near, mut far) = (0.0, 1000.0);
    if at(far) > flux {
        return None;
    }
    while far - near > 0.0005 {
        let middle = f64::midpoint(near, far);
        if at(middle) > flux { near = middle } else { far = middle }
    }
    Some(far)
}

/// What heat does to people, kW/m², with its source. The published limits are for adults who
/// can step back; children, and people who can't move away by themselves, need less.
pub const EXPOSURES: [(f64, &str, &str); 7] = [
    (1.0, "about full sun; pain on bare skin after about two minutes", "EPA handbook: 115 s"),
    (1.42, "limit for people in the open near stored fuel", "24 CFR 51.204"),
    (1.58, "continuous exposure of people in clothing", "API 521: 500 Btu/(h·ft²)"),
    (2.5, "limit of what is tolerated for minutes", "ISO 13571"),
    (4.73, "emergency work of a few minutes in protective clothing", "API 521: 1,500 Btu/(h·ft²)"),
    (5.0, "hazard distance around liquefied natural gas", "49 CFR 193, NFPA 59A"),
    (20.0, "flashover at the floor; wood can ignite without a flame", "NIST"),
];

/// How long people tolerate a heat above 2.5 kW/m², s. ISO 13571, as CFAST's technical
/// reference gives it.
#[must_use]
pub fn tolerated(flux: f64) -> f64 {
    // 4.2 minutes divided by the flux to the power of 1.9.
    60.0 * 4.2 * flux.powf(-1.9)
}

#[cfg(test)]
mod tests;
