//! Numbers and lengths that may be ranges, as people type them.

use crate::calc::fire::FOOT;
use crate::calc::fire::sampling::Range;
use crate::rooms::Length;

/// Tenths of a millimeter in a meter.
const TENTHS: f64 = 10_000.0;

/// A number such as "28" or "0.5"; nothing else that a computer would take for one.
fn number(text: &str) -> Option<f64> {
    let text = text.trim().replace(',', "");
    let digits = text.strip_prefix(['-', '−']).unwrap_or(&text);
    let is_plain = digits.chars().all(|c| c.is_ascii_digit() || c == '.') && digits.chars().any(|c| c.is_ascii_digit());
    let value = digits.parse::<f64>().ok().filter(|_| is_plain && digits.len() < 12)?;
    Some(if digits.len() < text.len() { -value } else { value })
}

/// Splits "28 to 50", "28–50" and "28-50" in two.
fn halves(text: &str) -> (&str, &str) {
    let parts = text.split_once(" to ").or_else(|| text.split_once('–'));
    let parts = parts.or_else(|| text.split_once('-').filter(|(before, _)| !before.trim().is_empty()));
    parts.unwrap_or((text, text))
}

/// One number within limits.
pub(super) fn one_number(text: &str, least: f64, most: f64) -> Result<f64, String> {
    let wrong = || format!("Enter a number from {least} to {most}.");
    number(text).filter(|value| (least..=most).contains(value)).ok_or_else(wrong)
}

/// A number or a range within limits.
pub(super) fn numbers(text: &str, least: f64, most: f64) -> Result<Range, String> {
    let wrong = || format!("Enter a number from {least} to {most}, or a range such as “{}”.", sample(least, most));
    let (low, high) = halves(text);
    let range = Range::new(number(low).ok_or_else(wrong)?, number(high).ok_or_else(wrong)?);
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

/// A length with its unit, in meters, within limits in feet.
pub(super) fn length(text: &str, least: f64, most: f64) -> Result<f64, String> {
    let meters = f64::from(Length::read(text)?.tenths) / TENTHS;
    // Typed in inches or centimeters, a limit may be missed by a rounding.
    let is_within = (least * FOOT - 1e-4..=most * FOOT + 1e-4).contains(&meters);
    if is_within {
        Ok(meters)
    } else {
        Err(format!("Type a length from {least} ft to {most} ft ({:.1} m to {:.1} m).", least * FOOT, most * FOOT))
    }
}

/// A length or a range of lengths, in meters, within limits in feet. The first may leave out
/// its unit.
pub(super) fn distances(text: &str, least: f64, most: f64) -> Result<Range, String> {
    let (low, high) = halves(text);
    let unit: String = high.chars().filter(|c| c.is_alphabetic() || matches!(c, '"' | '\'')).collect();
    let is_bare = number(low).is_some();
    let low = if is_bare { format!("{} {unit}", low.trim()) } else { low.to_owned() };
    let range = Range::new(length(&low, least, most)?, length(high, least, most)?);
    if range.low > range.high { Err("Type the smaller length first.".to_owned()) } else { Ok(range) }
}

/// "8 ft", "7 ft 6 in".
pub(super) fn feet(meters: f64) -> String {
    let inches = (meters / FOOT * 12.0).round();
    let (feet, rest) = ((inches / 12.0).floor(), inches % 12.0);
    match (feet == 0.0, rest == 0.0) {
        (true, false) => format!("{rest} in"),
        (_, true) => format!("{feet} ft"),
        _ => format!("{feet} ft {rest} in"),
    }
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
