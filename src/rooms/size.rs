//! Lengths as they are typed, in centimetres or inches, and shown in both.

use crate::named::named;
use std::fmt;

named! {
    /// In which unit a size was typed.
    Unit, "Choose a unit.", UNITS: [
        Centimetre = "cm",
        Inch = "in",
    ]
}

/// Tenths of a millimetre in each unit that can be typed.
const UNITS_TYPED: [(&str, Unit, f64); 12] = [
    ("inches", Unit::Inch, 254.0),
    ("inch", Unit::Inch, 254.0),
    ("in", Unit::Inch, 254.0),
    ("\"", Unit::Inch, 254.0),
    ("\u{2033}", Unit::Inch, 254.0),
    ("\u{201d}", Unit::Inch, 254.0),
    ("feet", Unit::Inch, 3_048.0),
    ("ft", Unit::Inch, 3_048.0),
    ("'", Unit::Inch, 3_048.0),
    ("mm", Unit::Centimetre, 10.0),
    ("cm", Unit::Centimetre, 100.0),
    ("m", Unit::Centimetre, 10_000.0),
];

/// No thing in a room is longer: 30 m, in tenths of a millimetre.
const LONGEST: u32 = 300_000;

const WRONG: &str = "Give up to three lengths and their unit, as in “60 cm”, “24 in” or “60 × 40 × 120 cm”.";

/// Length, width and height, as far as they are known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Size {
    /// Tenths of a millimetre; those that aren't known come last.
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
    /// "60 cm", "24 in", "60 x 40 x 120 cm", "2 ft by 30 in"; nothing is a size
    /// that isn't known.
    ///
    /// # Errors
    /// What to tell the person who typed it.
    pub fn read(text: &str) -> Result<Self, String> {
        let text = text.trim().to_lowercase().replace(" by ", "x").replace(['×', '*'], "x");
        if text.is_empty() {
            return Ok(Self::default());
        }
        let parts: Vec<&str> = text.split('x').map(str::trim).collect();
        if parts.len() > 3 {
            return Err(WRONG.to_owned());
        }
        let mut size = Self::default();
        let mut unit = None;
        // A unit stands for the numbers before it that have none.
        for (place, part) in parts.iter().enumerate().rev() {
            let (number, own) = split(part);
            unit = own.or(unit);
            let (named, tenths) = unit.ok_or_else(|| "Say the unit as well: cm or in.".to_owned())?;
            size.lengths[place] = Some(length(number, tenths, 1)?);
            size.unit = named;
        }
        Ok(size)
    }

    /// As it is typed.
    #[must_use]
    pub fn typed(self) -> String {
        self.written(self.unit)
    }

    fn written(self, unit: Unit) -> String {
        let known: Vec<String> = self.lengths.iter().flatten().map(|tenths| number(*tenths, unit, 2)).collect();
        if known.is_empty() { String::new() } else { format!("{} {unit}", known.join(" × ")) }
    }

    fn rounded(self, unit: Unit) -> String {
        let known: Vec<String> = self.lengths.iter().flatten().map(|tenths| number(*tenths, unit, 1)).collect();
        format!("{} {unit}", known.join(" × "))
    }
}

impl Length {
    /// "2.5 cm", "1 in"; nothing at all is a length too.
    ///
    /// # Errors
    /// What to tell the person who typed it.
    pub fn read(text: &str) -> Result<Self, String> {
        let text = text.trim().to_lowercase();
        let (typed, unit) = split(&text);
        let (unit, tenths) = unit.ok_or_else(|| "Say the unit as well: cm or in.".to_owned())?;
        Ok(Self { tenths: length(typed, tenths, 0)?, unit })
    }

    #[must_use]
    pub fn typed(self) -> String {
        format!("{} {}", number(self.tenths, self.unit, 2), self.unit)
    }
}

/// In the unit it was typed in, and in the other one.
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
        write!(f, "{} ({} {unit})", self.typed(), number(self.tenths, unit, 1))
    }
}

fn other(unit: Unit) -> Unit {
    match unit {
        Unit::Centimetre => Unit::Inch,
        Unit::Inch => Unit::Centimetre,
    }
}

type Typed = Option<(Unit, f64)>;

fn split(text: &str) -> (&str, Typed) {
    let typed = UNITS_TYPED.iter().find_map(|(name, unit, tenths)| Some((text.strip_suffix(name)?, *unit, *tenths)));
    typed.map_or((text, None), |(number, unit, tenths)| (number.trim(), Some((unit, tenths))))
}

fn length(number: &str, tenths: f64, least: u32) -> Result<u32, String> {
    let digits = |text: &str| text.chars().all(|c| c.is_ascii_digit() || c == '.');
    let number: f64 = number.parse().ok().filter(|_| digits(number)).ok_or_else(|| WRONG.to_owned())?;
    let long = (number * tenths).round();
    if long < f64::from(least) || long > f64::from(LONGEST) {
        return Err("Give a length up to 30 m.".to_owned());
    }
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "it is between 0 and 300,000")]
    Ok(long as u32)
}

/// With so many decimals at most, and none that say nothing. Inches that were
/// typed as sixteenths come back as such.
fn number(tenths: u32, unit: Unit, decimals: usize) -> String {
    let long = f64::from(tenths);
    let one = if unit == Unit::Inch { 254.0 } else { 100.0 };
    let sixteenths = (long / one * 16.0).round() / 16.0;
    let is_typed = decimals > 1 && unit == Unit::Inch && ((sixteenths * one).round() - long).abs() < 0.5;
    let text = if is_typed { format!("{sixteenths:.4}") } else { format!("{:.decimals$}", long / one) };
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_are_read_as_people_type_them() {
        for (text, lengths, unit) in [
            ("60 cm", [Some(6_000), None, None], Unit::Centimetre),
            ("60cm", [Some(6_000), None, None], Unit::Centimetre),
            ("24 in", [Some(6_096), None, None], Unit::Inch),
            ("24\"", [Some(6_096), None, None], Unit::Inch),
            ("60 × 40 × 120 cm", [Some(6_000), Some(4_000), Some(12_000)], Unit::Centimetre),
            ("60x40 CM", [Some(6_000), Some(4_000), None], Unit::Centimetre),
            ("2 ft by 30 in", [Some(6_096), Some(7_620), None], Unit::Inch),
            ("1.2 m", [Some(12_000), None, None], Unit::Centimetre),
            ("12.5 mm", [Some(125), None, None], Unit::Centimetre),
            ("", [None; 3], Unit::Centimetre),
        ] {
            assert_eq!(Size::read(text), Ok(Size { lengths, unit }), "{text}");
        }
        for text in ["60", "cm", "-4 cm", "1e3 cm", "4 x 4 x 4 x 4 in", "0 cm", "31 m", "sixty cm", "60,5 cm", "NaN cm"]
        {
            assert!(Size::read(text).is_err(), "{text}");
        }
    }

    #[test]
    fn sizes_are_shown_in_both_units_and_read_back() {
        let shown = |text: &str| Size::read(text).unwrap().to_string();
        assert_eq!(shown("24 in"), "24 in (61 cm)");
        assert_eq!(shown("60 × 40 × 120 cm"), "60 × 40 × 120 cm (23.6 × 15.7 × 47.2 in)");
        assert_eq!(shown(""), "");
        for text in ["24.25 in", "48 × 96 × 0.625 in", "23.6 in", "60.5 × 40 cm", "0.5 in", "12.55 cm"] {
            assert_eq!(Size::read(text).unwrap().typed(), text);
        }
        let length = Length::read("2.5 cm").unwrap();
        assert_eq!((length.tenths, length.to_string()), (250, "2.5 cm (1 in)".to_owned()));
        assert_eq!(Length::read("0 in").unwrap().tenths, 0);
        assert!(Length::read("2.5").is_err());
    }
}
