//! The sun against another package, pvlib.

use burnday::calc::site::sun::{position, sunset, turn};
use serde_json::Value;

const SUN: &str = include_str!("../../reference/site_sun.json");

/// From here up, a small error on the sky is a large one in azimuth.
const NEAR_ZENITH: f64 = 85.0;

fn rows(all: &Value, name: &str) -> Vec<(f64, f64, i64, Vec<Value>)> {
    let rows = all[name].as_array().unwrap().iter().map(|row| {
        let number = |place: usize| row[place].as_f64().unwrap();
        (number(0), number(1), row[2].as_i64().unwrap(), row.as_array().unwrap()[3..].to_vec())
    });
    rows.collect()
}

/// Apparent heights, both with refraction. A tenth of a degree is a fifth of the sun's width.
#[test]
fn the_sun_is_where_pvlib_has_it() {
    let all: Value = serde_json::from_str(SUN).unwrap();
    let cases = rows(&all, "cases");
    assert_eq!(cases.len(), 2000);
    let mut compared = 0;
    for (latitude, longitude, time, theirs) in cases {
        let (azimuth, height) = (theirs[0].as_f64().unwrap(), theirs[1].as_f64().unwrap());
        let sun = position(latitude, longitude, time).unwrap();
        assert!((sun.height - height).abs() < 0.1, "{latitude} {longitude} {time}: {sun:?}, not {height}");
        if height < NEAR_ZENITH {
            assert!(turn(sun.azimuth, azimuth) < 0.1, "{latitude} {longitude} {time}: {sun:?}, not {azimuth}");
            compared += 1;
        }
    }
    assert!(compared > 1980, "{compared}");
}

/// A minute is far less than people notice; some days have no sunset.
#[test]
fn the_sun_sets_when_pvlib_says() {
    let all: Value = serde_json::from_str(SUN).unwrap();
    let sunsets = rows(&all, "sunsets");
    let never = sunsets.iter().filter(|(.., theirs)| theirs[0].is_null()).count();
    assert!(sunsets.len() == 400 && never > 10, "{never} of {}", sunsets.len());
    for (latitude, longitude, time, theirs) in sunsets {
        let (ours, theirs) = (sunset(latitude, longitude, time), theirs[0].as_i64());
        let agree = match (ours, theirs) {
            (Some(ours), Some(theirs)) => (ours - theirs).abs() <= 60,
            (ours, theirs) => ours == theirs,
        };
        assert!(agree, "{latitude} {longitude} {time}: {ours:?}, not {theirs:?}");
    }
}
