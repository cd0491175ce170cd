//! Numbers.

use std::str::FromStr;

/// A whole number in a range.
///
/// # Errors
/// What to tell the person who typed it.
pub fn number<N: FromStr + PartialOrd + Copy + std::fmt::Display>(text: &str, least: N, most: N) -> Result<N, String> {
    let wrong = || format!("Enter a whole number from {least} to {most}.");
    let number: N = text.trim().parse().map_err(|_| wrong())?;
    if number < least || number > most { Err(wrong()) } else { Ok(number) }
}
