//! Where the sun is, when it sets, and whether people look into it.
//!
//! By the algorithm of the National Renewable Energy Laboratory (NREL), as the package
//! `solar-positioning` has it. Hills, trees, and clouds are left out.
//!
//! Units: degrees, and seconds since 1970 in UTC. Latitude counts from −90 (south) to 90, and
//! longitude from −180 (west) to 180; bearings and azimuths go clockwise from true north.

use solar_positioning::time::JulianDate;
use solar_positioning::{Horizon, Location, RefractionCorrection, SolarEvents, SolarPositions};

/// How far to the side of where people look the sun still bothers them, degrees. Common
/// practice, no source.
pub const SIDEWAYS: f64 = 30.0;
/// How high the sun still bothers them, degrees. Common practice, no source.
pub const HIGH: f64 = 30.0;

/// Terrestrial time less the time by the earth's turn, s: about what it is in these years. Ten
/// seconds more would move the sun by a ten-thousandth of a degree.
const DELTA_T: f64 = 69.0;
/// 1970 began on this Julian day.
const EPOCH: f64 = 2_440_587.5;
const DAY: f64 = 86_400.0;

/// Where the middle of the sun is in the sky.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sun {
    /// Clockwise from true north, 0 to 360.
    pub azimuth: f64,
    /// Above the horizon as people see it, with the air's usual refraction; negative below.
    pub height: f64,
}

/// Where the sun is; none for a place that doesn't exist or a time thousands of years away.
///
/// ```
/// use burnday::calc::site::sun::position;
///
/// // The example in NREL's report: October 17, 2003, 12:30:30 in Colorado.
/// let sun = position(39.742476, -105.1786, 1_066_419_030).unwrap();
/// assert!((sun.azimuth - 194.34).abs() < 0.01);
/// assert!((sun.height - 39.89).abs() < 0.01);
/// ```
#[must_use]
pub fn position(latitude: f64, longitude: f64, unix_seconds: i64) -> Option<Sun> {
    let time = JulianDate::new(julian(unix_seconds), DELTA_T).ok()?;
    let place = Location { latitude, longitude };
    let sun = SolarPositions::new().at_from_julian(time, place, 0.0, Some(RefractionCorrection::standard())).ok()?;
    Some(Sun { azimuth: sun.azimuth(), height: sun.elevation_angle() })
}

/// The next sunset within 24 hours after a moment, when the sun's upper edge disappears; none if
/// there is none, for example where the sun doesn't rise or set that day, or where it set a
/// moment ago and sets a little later each day.
#[must_use]
pub fn sunset(latitude: f64, longitude: f64, from_unix: i64) -> Option<i64> {
    let start = julian(from_unix);
    let place = Location { latitude, longitude };
    let set = SolarEvents::new().next_set_from_julian(start, start + 1.0, place, DELTA_T, Horizon::SunriseSunset);
    set.ok()?.map(unix)
}

#[expect(clippy::cast_precision_loss, reason = "a time that the algorithm takes is exact")]
fn julian(unix_seconds: i64) -> f64 {
    unix_seconds as f64 / DAY + EPOCH
}

#[expect(clippy::cast_possible_truncation, reason = "it is within a day of a time that was an i64")]
fn unix(julian: f64) -> i64 {
    ((julian - EPOCH) * DAY).round() as i64
}

/// The smallest angle between two bearings, 0 to 180.
///
/// ```
/// use burnday::calc::site::sun::turn;
///
/// assert!((turn(350.0, 20.0) - 30.0).abs() < 1e-9);
/// ```
#[must_use]
pub fn turn(from: f64, to: f64) -> f64 {
    let clockwise = (to - from).rem_euclid(360.0);
    clockwise.min(360.0 - clockwise)
}

/// The angle between where people look, level, and the sun, if it bothers them: above the
/// horizon, below [`HIGH`], and no more than [`SIDEWAYS`] to the side; none otherwise.
#[must_use]
pub fn glare(view_bearing: f64, sun: &Sun) -> Option<f64> {
    let sideways = turn(view_bearing, sun.azimuth);
    let bothers = sun.height > 0.0 && sun.height < HIGH && sideways <= SIDEWAYS;
    // The hypotenuse of a right triangle on a sphere.
    bothers.then(|| (sideways.to_radians().cos() * sun.height.to_radians().cos()).acos().to_degrees())
}

#[cfg(test)]
mod tests;
