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
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The example in NREL's report on the algorithm (Reda and Andreas, NREL/TP-560-34302):
    /// zenith angle 50.111 62°, azimuth 194.340 24°. It is at 1,830 m, where the air refracts
    /// 0.003° less. Its sunset, 17:20:19 Mountain Standard Time, is the one on that date in
    /// Greenwich, so in Colorado it is the evening before.
    #[test]
    fn published_example() {
        let (latitude, longitude, noon) = (39.742_476, -105.178_6, 1_066_419_030);
        let sun = position(latitude, longitude, noon).unwrap();
        assert!((sun.azimuth - 194.340_24).abs() < 0.001, "{sun:?}");
        assert!((sun.height - (90.0 - 50.111_62)).abs() < 0.005, "{sun:?}");
        let set = sunset(latitude, longitude, noon - 86_400).unwrap();
        assert!((set - 1_066_350_019).abs() <= 5, "{set}");
    }

    /// June 21 and December 21, 2026: in Svalbard the sun neither sets in summer nor rises in
    /// winter.
    #[test]
    fn no_sunset_near_the_pole() {
        for day in [1_782_000_000, 1_797_811_200] {
            assert_eq!(sunset(78.2, 15.6, day), None, "{day}");
        }
        let heights = [1_782_000_000, 1_797_811_200].map(|day| position(78.2, 15.6, day).unwrap().height);
        assert!(heights[0] > 0.0 && heights[1] < 0.0, "{heights:?}");
    }

    #[test]
    fn nowhere_and_never() {
        for (latitude, longitude, time) in [
            (90.1, 0.0, 0),
            (-91.0, 0.0, 0),
            (0.0, 180.1, 0),
            (0.0, -181.0, 0),
            (f64::NAN, 0.0, 0),
            (0.0, f64::INFINITY, 0),
            (0.0, 0.0, i64::MAX),
            (0.0, 0.0, i64::MIN),
        ] {
            assert_eq!(position(latitude, longitude, time), None, "{latitude} {longitude} {time}");
            assert_eq!(sunset(latitude, longitude, time), None, "{latitude} {longitude} {time}");
        }
    }

    #[test]
    fn turns() {
        for (from, to, angle) in [(0.0, 90.0, 90.0), (350.0, 10.0, 20.0), (10.0, 350.0, 20.0), (0.0, 180.0, 180.0)] {
            assert!((turn(from, to) - angle).abs() < 1e-9, "{from} {to}");
        }
        assert!((turn(-90.0, 630.0)).abs() < 1e-9);
    }

    #[test]
    fn glare_at_its_limits() {
        let sun = |azimuth, height| Sun { azimuth, height };
        assert!((glare(180.0, &sun(180.0, 12.0)).unwrap() - 12.0).abs() < 1e-9);
        assert!((glare(350.0, &sun(15.0, 1e-9)).unwrap() - 25.0).abs() < 1e-6);
        // Straight at it.
        assert!(glare(180.0, &sun(180.0, 1e-9)).unwrap() < 1e-6);
        for (azimuth, height) in [(180.0, 0.0), (180.0, -1.0), (180.0, 30.0), (210.1, 10.0), (149.9, 10.0), (0.0, 10.0)]
        {
            assert_eq!(glare(180.0, &sun(azimuth, height)), None, "{azimuth} {height}");
        }
        assert_eq!(glare(f64::NAN, &sun(180.0, 10.0)), None);
        assert_eq!(glare(180.0, &sun(f64::NAN, 10.0)), None);
        assert_eq!(glare(180.0, &sun(180.0, f64::NAN)), None);
    }

    proptest! {
        /// The angle between the two directions, by their unit vectors.
        #[test]
        fn glare_is_an_angle_in_space(view in 0.0..360.0_f64, aside in -29.9..29.9_f64, height in 0.1..29.9_f64) {
            let azimuth = (view + aside).rem_euclid(360.0);
            let angle = glare(view, &Sun { azimuth, height }).unwrap();
            let ((view_x, view_y), (x, y)) = (view.to_radians().sin_cos(), azimuth.to_radians().sin_cos());
            let (up, level) = height.to_radians().sin_cos();
            let apart = (view_x - x * level).hypot(view_y - y * level).hypot(up);
            prop_assert!((angle - 2.0 * (apart / 2.0).asin().to_degrees()).abs() < 1e-6);
        }

        #[test]
        fn a_turn_is_the_same_both_ways(from in -720.0..720.0, to in -720.0..720.0) {
            prop_assert!((turn(from, to) - turn(to, from)).abs() < 1e-9);
            prop_assert!((0.0..=180.0).contains(&turn(from, to)));
        }

        #[test]
        fn any_time_and_place_has_an_answer(
            latitude in -95.0..95.0, longitude in -190.0..190.0, time in any::<i64>()
        ) {
            let there = (-90.0..=90.0).contains(&latitude) && (-180.0..=180.0).contains(&longitude);
            prop_assert!(there || position(latitude, longitude, time).is_none());
            let near = time % 4_000_000_000;
            prop_assert_eq!(position(latitude, longitude, near).is_some(), there);
            if let Some(set) = sunset(latitude, longitude, near) {
                prop_assert!(set >= near && set <= near + 86_400);
            }
        }
    }
}
