//! Numbers and lengths that may be ranges, as people type them.

use crate::calc::fire::sampling::Range;
use crate::rooms::plain_number;

pub(super) use crate::rooms::{feet, length, number as one_number};

/// Splits "28 to 50", "28–50" and "28-50" in two.
fn halves(text: &str) -> (&str, &str) {
    let parts = text.split_once(" to ").or_else(|| text.split_once('–'));
    let parts = parts.or_else(|| text.split_once('-').filter(|(before, _)| !before.trim().is_empty()));
    parts.unwrap_or((text, text))
}

/// A number or a range within limits.
pub(super) fn numbers(text: &str, least: f64, most: f64) -> Result<Range, String> {
    let wrong = || format!("Enter a number from {least} to {most}, or a range such as “{}”.", sample(least, most));
    let (low, high) = halves(text);
    let range = Range::new(plain_number(low).ok_or_else(wrong)?, plain_number(high).ok_or_else(wrong)?);
    if range.low > range.high {
        return Err("Type the smaller number first.".to_owned());
    }
    if range.low < least || range.high > most { Err(wrong()) } else { Ok(range) }
}

fn sample(least: f64, most: f64) -> String {
    let at = |part: f64| (least + (most - least) * part * 10.0).round() / 10.0;
    let (low, high) = (at(0.2 / 10.0), at(0.5 / 10.0));
    format!("{low} to {high}")
}

/// A length or a range of lengths, in meters, within limits in feet. The first may leave out
/// its unit.
pub(super) fn distances(text: &str, least: f64, most: f64) -> Result<Range, String> {
    let (low, high) = halves(text);
    let unit: String = high.chars().filter(|c| c.is_alphabetic() || matches!(c, '"' | '\'')).collect();
    let is_bare = plain_number(low).is_some();
    let low = if is_bare { format!("{} {unit}", low.trim()) } else { low.to_owned() };
    let range = Range::new(length(&low, least, most)?, length(high, least, most)?);
    if range.low > range.high { Err("Type the smaller length first.".to_owned()) } else { Ok(range) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_and_ranges_are_read_and_others_refused() {
        for (text, low, high) in [
            ("28 to 50", 28.0, 50.0),
            ("28–50", 28.0, 50.0),
            (" 28 - 50 ", 28.0, 50.0),
            ("28-50", 28.0, 50.0),
            ("1,000 to 2,500", 1000.0, 2500.0),
            ("35", 35.0, 35.0),
            ("-4 to 20", -4.0, 20.0),
            ("−4", -4.0, -4.0),
            ("0.5", 0.5, 0.5),
        ] {
            assert_eq!(numbers(text, -10.0, 5_000.0), Ok(Range::new(low, high)), "{text}");
        }
        for text in [
            "",
            "NaN",
            "inf",
            "-inf",
            "1e3",
            "0x10",
            "abc",
            "5 to",
            "to 5",
            "50 to 28",
            "99999",
            "1 to 2 to 3",
            "+5",
            ".",
            "-",
        ] {
            assert!(numbers(text, -10.0, 5_000.0).is_err(), "{text}");
        }
        assert!(one_number("NaN", 0.0, 1.0).is_err() && one_number("2", 0.0, 1.0).is_err());
        assert_eq!(one_number("0.5", 0.0, 1.0), Ok(0.5));
    }

    #[test]
    fn lengths_are_read_in_both_units() {
        let near = |range: Result<Range, String>, low: f64, high: f64| {
            let range = range.unwrap();
            assert!((range.low - low).abs() < 1e-4 && (range.high - high).abs() < 1e-4, "{range:?}");
        };
        near(distances("2.5 ft to 4 ft", 0.5, 20.0), 0.762, 1.2192);
        near(distances("2.5 to 4 ft", 0.5, 20.0), 0.762, 1.2192);
        near(distances("0.8–1.2 m", 0.5, 20.0), 0.8, 1.2);
        near(distances("3 ft", 0.5, 20.0), 0.9144, 0.9144);
        assert_eq!(length("8 ft", 4.0, 8.0).map(|meters| (meters * 1e4).round()), Ok(24_384.0));
        for text in ["", "8", "0 ft", "90 ft", "NaN ft", "-3 ft", "4 ft to 2 ft"] {
            assert!(distances(text, 0.5, 20.0).is_err(), "{text}");
        }
        assert_eq!((feet(0.2032), feet(0.0)), ("8 in".to_owned(), "0 ft".to_owned()));
        assert_eq!((feet(2.4384), feet(2.286)), ("8 ft".to_owned(), "7 ft 6 in".to_owned()));
    }
}
