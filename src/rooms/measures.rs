//! Numbers and lengths as people type them, in meters.

use super::Length;
use crate::calc::site::FOOT;

/// A kilometer, in tenths of a millimeter: whoever asks has limits of their own.
const LONGEST: u32 = 10_000_000;
/// Tenths of a millimeter in a meter.
const TENTHS: f64 = 10_000.0;

/// A number such as "28" or "0.5"; nothing else that a computer would take for one.
#[must_use]
pub fn plain_number(text: &str) -> Option<f64> {
    let text = text.trim().replace(',', "");
    let digits = text.strip_prefix(['-', '−']).unwrap_or(&text);
    let is_plain = digits.chars().all(|c| c.is_ascii_digit() || c == '.') && digits.chars().any(|c| c.is_ascii_digit());
    let value = digits.parse::<f64>().ok().filter(|_| is_plain && digits.len() < 12)?;
    Some(if digits.len() < text.len() { -value } else { value })
}

/// One number within limits.
///
/// # Errors
/// What to tell the person who typed it.
pub fn number(text: &str, least: f64, most: f64) -> Result<f64, String> {
    let wrong = || format!("Enter a number from {least} to {most}.");
    plain_number(text).filter(|value| (least..=most).contains(value)).ok_or_else(wrong)
}

/// A length with its unit, in meters, within limits in feet.
///
/// # Errors
/// What to tell the person who typed it.
pub fn length(text: &str, least: f64, most: f64) -> Result<f64, String> {
    let meters = f64::from(Length::read_up_to(text, LONGEST)?.tenths) / TENTHS;
    // Typed in inches or centimeters, a limit may be missed by a rounding.
    let is_within = (least * FOOT - 1e-4..=most * FOOT + 1e-4).contains(&meters);
    if is_within {
        Ok(meters)
    } else {
        Err(format!("Type a length from {least} ft to {most} ft ({:.1} m to {:.1} m).", least * FOOT, most * FOOT))
    }
}

/// "8 ft", "7 ft 6 in".
#[must_use]
pub fn feet(meters: f64) -> String {
    let inches = (meters / FOOT * 12.0).round();
    let (feet, rest) = ((inches / 12.0).floor(), inches % 12.0);
    match (feet == 0.0, rest == 0.0) {
        (true, false) => format!("{rest} in"),
        (_, true) => format!("{feet} ft"),
        _ => format!("{feet} ft {rest} in"),
    }
}
