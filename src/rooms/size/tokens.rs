//! The numbers, units, and signs of a length as people write it.

use super::unit::{Unit, WRONG};

/// A unit as it can be typed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Scale {
    pub short: &'static str,
    pub name: &'static str,
    pub unit: Unit,
    /// In tenths of a millimeter.
    pub tenths: f64,
}

pub(super) const INCH: Scale = Scale { short: "in", name: "inches", unit: Unit::Inch, tenths: 254.0 };

pub(super) const FOOT: Scale = Scale { short: "ft", name: "feet", unit: Unit::Inch, tenths: 3_048.0 };

const YARD: Scale = Scale { short: "yd", name: "yards", unit: Unit::Inch, tenths: 9_144.0 };

const MILLIMETER: Scale = Scale { short: "mm", name: "millimeters", unit: Unit::Centimetre, tenths: 10.0 };

const CENTIMETER: Scale = Scale { short: "cm", name: "centimeters", unit: Unit::Centimetre, tenths: 100.0 };

const METER: Scale = Scale { short: "m", name: "meters", unit: Unit::Centimetre, tenths: 10_000.0 };

fn scale(word: &str) -> Option<Scale> {
    Some(match word {
        "in" | "ins" | "inch" | "inches" => INCH,
        "ft" | "foot" | "feet" => FOOT,
        "yd" | "yds" | "yard" | "yards" => YARD,
        "mm" | "millimeter" | "millimeters" | "millimetre" | "millimetres" => MILLIMETER,
        "cm" | "cms" | "centimeter" | "centimeters" | "centimetre" | "centimetres" => CENTIMETER,
        "m" | "meter" | "meters" | "metre" | "metres" => METER,
        _ => return None,
    })
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Token {
    Number(f64),
    /// A fraction in one character, as in ½.
    Fraction(f64),
    Slash,
    Hyphen,
    Scale(Scale),
    Times,
}

pub(super) fn scan(text: &str) -> Result<Vec<Token>, String> {
    let mut tokens = Vec::new();
    let mut rest = text;
    while let Some(letter) = rest.chars().next() {
        let used = match letter {
            _ if letter.is_whitespace() => letter.len_utf8(),
            '0'..='9' | '.' => {
                let used = numeral(rest);
                tokens.push(Token::Number(value(&rest[..used])?));
                used
            }
            _ if letter.is_alphabetic() => {
                let used = word(rest);
                tokens.push(named(&rest[..used])?);
                // "24 in." is the same as "24 in".
                used + usize::from(rest[used..].starts_with('.'))
            }
            _ => {
                let (token, used) = sign(rest, letter)?;
                tokens.push(token);
                used
            }
        };
        rest = &rest[used..];
    }
    Ok(tokens)
}

/// How many bytes of digits, periods and commas there are. A comma ends the number unless a
/// digit follows.
fn numeral(text: &str) -> usize {
    let bytes = text.as_bytes();
    let is_digit = |place: usize| bytes.get(place).is_some_and(u8::is_ascii_digit);
    let goes_on =
        |place: &usize| is_digit(*place) || bytes[*place] == b'.' || (bytes[*place] == b',' && is_digit(place + 1));
    (0..bytes.len()).take_while(goes_on).count()
}

/// "24.5", "60,5"; "1,200.5" too, but "1,200" alone could be either.
fn value(numeral: &str) -> Result<f64, String> {
    let wrong = || format!("“{numeral}” isn't a number. Type it as in “24.5”.");
    let plain = match numeral.split_once(',') {
        None => numeral.to_owned(),
        Some((_, after)) if numeral.contains('.') || after.contains(',') => {
            let (whole, decimals) = numeral.split_once('.').unwrap_or((numeral, ""));
            let mut groups = whole.split(',');
            let is_first = groups.next().is_some_and(|first| (1..=3).contains(&first.len()));
            if decimals.contains(',') || !is_first || !groups.all(|group| group.len() == 3) {
                return Err(wrong());
            }
            numeral.replace(',', "")
        }
        Some((before, after)) if after.len() == 3 && before != "0" => {
            return Err(format!("Is “{numeral}” {before}{after} or {before}.{after}? Type it without the comma."));
        }
        Some((before, after)) => format!("{before}.{after}"),
    };
    plain.parse().map_err(|_| wrong())
}

/// How many bytes of letters there are, up to an x between two lengths as in "60cmx40cm".
fn word(text: &str) -> usize {
    let is_times = |place: usize| {
        let after = text[place..].strip_prefix('x').map(str::trim_start);
        after.is_some_and(|after| {
            after.starts_with(|next: char| next.is_ascii_digit() || next == '.' || is_fraction(next))
        })
    };
    let ends = |(place, letter): &(usize, char)| !letter.is_alphabetic() || is_times(*place);
    match text.char_indices().find(ends) {
        // An x at the very beginning is a word by itself.
        Some((0, _)) => 1,
        Some((place, _)) => place,
        None => text.len(),
    }
}

fn named(word: &str) -> Result<Token, String> {
    const SIDES: [&str; 17] = [
        "l", "w", "h", "d", "long", "length", "wide", "width", "high", "height", "tall", "deep", "depth", "thick",
        "dia", "diameter", "each",
    ];
    if matches!(word, "x" | "by") {
        return Ok(Token::Times);
    }
    if let Some(scale) = scale(word) {
        return Ok(Token::Scale(scale));
    }
    Err(if SIDES.contains(&word) {
        format!(
            "Remove “{word}”. Type only the lengths, in this order: length × width × height, as in “24 × 18 × 30 in”."
        )
    } else {
        format!("“{word}” isn't a length. {WRONG}")
    })
}

fn is_fraction(letter: char) -> bool {
    vulgar(letter).is_some()
}

fn vulgar(letter: char) -> Option<f64> {
    Some(match letter {
        '½' => 1.0 / 2.0,
        '⅓' => 1.0 / 3.0,
        '⅔' => 2.0 / 3.0,
        '¼' => 1.0 / 4.0,
        '¾' => 3.0 / 4.0,
        '⅛' => 1.0 / 8.0,
        '⅜' => 3.0 / 8.0,
        '⅝' => 5.0 / 8.0,
        '⅞' => 7.0 / 8.0,
        _ => return None,
    })
}

fn sign(text: &str, letter: char) -> Result<(Token, usize), String> {
    let one = letter.len_utf8();
    let token = match letter {
        // Two foot marks in a row mean inches.
        '\'' | '\u{2019}' | '\u{2018}' | '\u{2032}' if text[one..].starts_with(letter) => {
            return Ok((Token::Scale(INCH), 2 * one));
        }
        '\'' | '\u{2019}' | '\u{2018}' | '\u{2032}' => Token::Scale(FOOT),
        '"' | '\u{201d}' | '\u{201c}' | '\u{2033}' => Token::Scale(INCH),
        '/' | '\u{2044}' | '\u{2215}' => Token::Slash,
        '-' | '\u{2010}' | '\u{2011}' | '\u{2012}' | '\u{2013}' | '\u{2014}' | '\u{2212}' => Token::Hyphen,
        '×' | '*' => Token::Times,
        ',' | ';' | '&' | '+' => return Err(format!("Put an × between two lengths, not “{letter}”.")),
        _ => Token::Fraction(vulgar(letter).ok_or_else(|| format!("Remove “{letter}”. {WRONG}"))?),
    };
    Ok((token, one))
}
