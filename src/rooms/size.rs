//! Lengths, typed in centimeters or inches and shown in both.

mod tokens;
mod typed;
mod unit;

use std::fmt;
use unit::WRONG;

pub use unit::{UNITS, Unit};

/// Length, width and height, where known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Size {
    /// Tenths of a millimeter. Unknown ones come last.
    pub lengths: [Option<u32>; 3],
    pub unit: Unit,
}

impl Default for Size {
    fn default() -> Self {
        Self { lengths: [None; 3], unit: Unit::Centimetre }
    }
}

/// One length, with the unit it was typed in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Length {
    pub tenths: u32,
    pub unit: Unit,
}

impl Size {
    /// Reads a size as people write it, or as it is shown. Nothing typed is an unknown size.
    ///
    /// # Errors
    /// What to tell the person who typed it.
    pub fn read(text: &str) -> Result<Self, String> {
        let (text, beside) = shown(text);
        if text.is_empty() {
            return Ok(Self::default());
        }
        let (read, unit) = typed::read(text, 1, typed::LONGEST)?;
        agree(&read, beside)?;
        if read.len() > 3 {
            return Err(format!("You typed {} lengths. {WRONG}", read.len()));
        }
        let mut lengths = [None; 3];
        for (place, tenths) in lengths.iter_mut().zip(read) {
            *place = Some(tenths);
        }
        Ok(Self { lengths, unit })
    }

    /// As it is typed.
    #[must_use]
    pub fn typed(self) -> String {
        self.written(self.unit)
    }

    fn written(self, unit: Unit) -> String {
        let known: Vec<String> = self.lengths.iter().flatten().map(|tenths| exact(*tenths, unit)).collect();
        if known.is_empty() { String::new() } else { format!("{} {unit}", known.join(" × ")) }
    }

    fn rounded(self, unit: Unit) -> String {
        let known: Vec<String> = self.lengths.iter().flatten().map(|tenths| rounded(*tenths, unit, 1)).collect();
        format!("{} {unit}", known.join(" × "))
    }
}

impl Length {
    /// Reads a length as people write it, or as it is shown. Zero is a length, too.
    ///
    /// # Errors
    /// What to tell the person who typed it.
    pub fn read(text: &str) -> Result<Self, String> {
        Self::read_up_to(text, typed::LONGEST)
    }

    /// The same for something that may be longer than what fits in a room, in tenths of a
    /// millimeter.
    ///
    /// # Errors
    /// What to tell the person who typed it.
    pub fn read_up_to(text: &str, most: u32) -> Result<Self, String> {
        let (text, beside) = shown(text);
        if text.is_empty() {
            return Err("Type a length with its unit, as in “1 in” or “2.5 cm”.".to_owned());
        }
        let (read, unit) = typed::read(text, 0, most)?;
        agree(&read, beside)?;
        match read.as_slice() {
            [tenths] => Ok(Self { tenths: *tenths, unit }),
            more => Err(format!("You typed {} lengths. Type one, as in “1 in” or “2.5 cm”.", more.len())),
        }
    }

    #[must_use]
    pub fn typed(self) -> String {
        format!("{} {}", exact(self.tenths, self.unit), self.unit)
    }
}

/// In the unit it was typed in, with the other one in parentheses.
impl fmt::Display for Size {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.lengths[0].is_none() {
            return Ok(());
        }
        write!(f, "{} ({})", self.written(self.unit), self.rounded(other(self.unit)))
    }
}

impl fmt::Display for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let unit = other(self.unit);
        write!(f, "{} ({} {unit})", self.typed(), rounded(self.tenths, unit, 1))
    }
}

fn other(unit: Unit) -> Unit {
    match unit {
        Unit::Centimetre => Unit::Inch,
        Unit::Inch => Unit::Centimetre,
    }
}

/// The text before the parentheses, and the text in them: the same in the other unit.
fn shown(text: &str) -> (&str, Option<&str>) {
    let text = text.trim();
    let parts = text.strip_suffix(')').and_then(|text| text.split_once('('));
    // If there is nothing before the parentheses, they were typed.
    let parts = parts.filter(|(text, _)| !text.trim().is_empty());
    parts.map_or((text, None), |(text, beside)| (text.trim(), Some(beside)))
}

/// Checks that the parentheses say the same, as exactly as they are shown.
fn agree(read: &[u32], beside: Option<&str>) -> Result<(), String> {
    let Some(beside) = beside else { return Ok(()) };
    let wrong = || format!("Remove what is in parentheses: “{beside}”.");
    let (other, _) = typed::read(beside, 0, u32::MAX).map_err(|_| wrong())?;
    let is_same =
        other.len() == read.len() && other.iter().zip(read).all(|(one, other)| one.abs_diff(*other) <= ROUNDED);
    if is_same { Ok(()) } else { Err(wrong()) }
}

/// Half of a tenth of an inch: as far as the text in parentheses may be off.
const ROUNDED: u32 = 13;

/// With as many decimals as it takes to read back the same length.
fn exact(tenths: u32, unit: Unit) -> String {
    let one = one(unit);
    let is_same = |shown: f64| ((shown * one).round() - f64::from(tenths)).abs() < 0.5;
    // People type inches in sixteenths more often than in decimals.
    let sixteenths = (f64::from(tenths) / one * 16.0).round() / 16.0;
    if unit == Unit::Inch && is_same(sixteenths) {
        return short(format!("{sixteenths:.4}"));
    }
    let fits = |decimals: &usize| format!("{:.decimals$}", f64::from(tenths) / one).parse().is_ok_and(is_same);
    // Lengths are stored more coarsely than a thousandth of an inch.
    rounded(tenths, unit, (0..3).find(fits).unwrap_or(3))
}

fn rounded(tenths: u32, unit: Unit, decimals: usize) -> String {
    short(format!("{:.decimals$}", f64::from(tenths) / one(unit)))
}

/// In tenths of a millimeter.
fn one(unit: Unit) -> f64 {
    if unit == Unit::Inch { 254.0 } else { 100.0 }
}

fn short(number: String) -> String {
    if number.contains('.') { number.trim_end_matches('0').trim_end_matches('.').to_owned() } else { number }
}

#[cfg(test)]
mod tests;
