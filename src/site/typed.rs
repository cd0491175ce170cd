//! Numbers, bearings, lengths, and places, as people type them and as pages show them.

use crate::calc::site::{FOOT, INCH};
use crate::rooms;

pub(super) use crate::rooms::{feet, number};

/// To a tenth of a millimeter, so that inches stay what they were.
pub(super) fn rounded(meters: f64) -> f64 {
    (meters * 10_000.0).round() / 10_000.0
}

/// Degrees clockwise from north, or a point of the compass.
pub(super) fn bearing(text: &str) -> Result<f64, String> {
    const POINTS: [&str; 16] =
        ["N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"];
    let text = text.trim().trim_end_matches('°').trim();
    let point = POINTS.iter().zip(0_u8..).find(|(point, _)| point.eq_ignore_ascii_case(text));
    if let Some((_, number)) = point {
        return Ok(f64::from(number) * 22.5);
    }
    number(text, 0.0, 360.0)
        .map(|value| value.rem_euclid(360.0))
        .map_err(|_| "Enter degrees from 0 to 360, or a direction such as NW.".to_owned())
}

/// A length in meters, within limits in feet. Without a unit it is in feet.
pub(super) fn length(text: &str, least: f64, most: f64) -> Result<f64, String> {
    let text = text.trim();
    let is_bare = text.ends_with(|c: char| c.is_ascii_digit());
    let meters =
        if is_bare { rooms::length(&format!("{text} ft"), least, most) } else { rooms::length(text, least, most) };
    meters.map(rounded)
}

/// Places, one a line: the lengths from the left and from the top.
pub(super) fn places(text: &str) -> Result<Vec<(f64, f64)>, String> {
    let lines = text.lines().filter(|line| !line.trim().is_empty());
    let read = lines.enumerate().map(|(number, line)| {
        let wrong = || {
            format!("Line {}: enter how far it is from the left and from the top, as in “120 ft, 45 ft”.", number + 1)
        };
        let (x, y) = line.split_once([',', ';']).ok_or_else(wrong)?;
        let read = |text: &str| length(text, 0.0, 2_600.0).map_err(|_| wrong());
        Ok((read(x)?, read(y)?))
    });
    read.collect()
}

/// "75 ft (22.9 m)", "2 ft 6 in (0.8 m)".
pub(super) fn distance(meters: f64) -> String {
    if meters < 10.0 * FOOT {
        return format!("{} ({meters:.1} m)", feet(meters));
    }
    format!("{:.0} ft ({meters:.1} m)", meters / FOOT)
}

/// The same, rounded up, for what must not be less.
pub(super) fn at_least(meters: f64) -> String {
    // What arithmetic loses doesn't make one more.
    let feet = (meters / FOOT - 1e-6).ceil().max(0.0);
    format!("{feet:.0} ft ({:.1} m)", feet * FOOT)
}

/// "−1.6 in (−41 mm)".
pub(super) fn small(meters: f64) -> String {
    let text = format!("{:.1} in ({:.0} mm)", meters / INCH, meters * 1_000.0);
    text.replace('-', "−")
}

/// Places as they are typed.
pub(super) fn written(places: &[(f64, f64)]) -> String {
    places.iter().map(|(x, y)| format!("{}, {}", feet(*x), feet(*y))).collect::<Vec<_>>().join("\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_people_type_is_read_and_the_rest_refused() {
        assert_eq!(bearing("300"), Ok(300.0));
        assert_eq!(bearing("NW"), Ok(315.0));
        assert_eq!(bearing("360°"), Ok(0.0));
        for wrong in ["", "north-ish", "361", "-5", "NaN"] {
            assert!(bearing(wrong).is_err(), "{wrong}");
        }
        for (text, meters) in [("75", 22.86), ("75 ft", 22.86), ("2 ft 6 in", 0.762), ("3 m", 3.0), ("36 in", 0.9144)] {
            assert_eq!(length(text, 0.0, 100.0), Ok(meters), "{text}");
        }
        for wrong in ["", "-3", "101", "x", "NaN ft"] {
            assert!(length(wrong, 0.0, 100.0).is_err(), "{wrong}");
        }
        assert_eq!(places("10 ft, 20 ft\n\n 3 m; 5 "), Ok(vec![(3.048, 6.096), (3.0, 1.524)]));
        assert!(places("10 ft 20 ft").unwrap_err().starts_with("Line 1"));
    }

    #[test]
    fn what_is_shown_can_be_typed_again() {
        let all = vec![(3.048, 6.096), (0.0, 0.762), (12.4968, 0.0254)];
        assert_eq!(places(&written(&all)), Ok(all));
        assert_eq!((distance(22.86), small(-0.04064)), ("75 ft (22.9 m)".to_owned(), "−1.6 in (−41 mm)".to_owned()));
    }
}
