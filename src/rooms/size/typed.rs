//! Lengths as people write them: `24 1/2 in`, `5' 2"`, `60,5 cm`.

use super::Unit;

/// No item in a room is longer: 30 m, in tenths of a millimeter.
pub(super) const LONGEST: u32 = 300_000;

pub(super) const NO_UNIT: &str = "Add the unit: in, ft, cm, mm or m.";

/// A unit as it can be typed.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Scale {
    short: &'static str,
    name: &'static str,
    unit: Unit,
    /// In tenths of a millimeter.
    tenths: f64,
}

const INCH: Scale = Scale { short: "in", name: "inches", unit: Unit::Inch, tenths: 254.0 };
const FOOT: Scale = Scale { short: "ft", name: "feet", unit: Unit::Inch, tenths: 3_048.0 };
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
enum Token {
    Number(f64),
    /// A fraction in one character, as in ½.
    Fraction(f64),
    Slash,
    Hyphen,
    Scale(Scale),
    Times,
}

/// One number with its unit. A length is one of these, or two, as in feet and inches.
#[derive(Debug, Clone, Copy)]
struct Measure {
    value: f64,
    scale: Option<Scale>,
}

/// The lengths that were typed, in tenths of a millimeter, and the unit of the first.
pub(super) fn read(text: &str, (least, most): (u32, u32)) -> Result<(Vec<u32>, Unit), String> {
    let text = text.trim().to_lowercase();
    let tokens = scan(&text)?;
    let mut lengths = Vec::new();
    let (mut unit, mut carried) = (Unit::Centimetre, None);
    // A unit also counts for the numbers before it that have none.
    for part in tokens.split(|token| *token == Token::Times).rev() {
        let measures = measures(part)?;
        let (tenths, scale) = match measures.as_slice() {
            [] => return Err("Type a length before and after each ×.".to_owned()),
            [one] => {
                let scale = one.scale.or(carried).ok_or_else(|| NO_UNIT.to_owned())?;
                (one.value * scale.tenths, scale)
            }
            [first, second] => (together(*first, *second)?, first.scale.ok_or_else(|| apart(part))?),
            _ => return Err(apart(part)),
        };
        // A number before feet and inches could mean either.
        carried = (measures.len() == 1).then_some(scale);
        lengths.push(bounded(tenths, least, most)?);
        unit = scale.unit;
    }
    lengths.reverse();
    Ok((lengths, unit))
}

fn apart(part: &[Token]) -> String {
    if part.contains(&Token::Hyphen) {
        "Type one length, not a range.".to_owned()
    } else {
        "Put an × between two lengths, as in “24 × 36 in”.".to_owned()
    }
}

fn bounded(tenths: f64, least: u32, most: u32) -> Result<u32, String> {
    let tenths = tenths.round();
    if tenths < f64::from(least) || tenths > f64::from(most) {
        let above = if least > 0 { "above 0 and " } else { "" };
        let meters = f64::from(most) / 10_000.0;
        return Err(format!("Type a length {above}up to {:.0} ft ({meters} m).", meters / 0.3048));
    }
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "it is between 0 and `most`")]
    Ok(tenths as u32)
}

/// Feet and inches, or meters and centimeters. After feet, the inches need no unit.
fn together(first: Measure, second: Measure) -> Result<f64, String> {
    let large = first.scale.ok_or_else(|| "Put an × between two lengths, as in “24 × 36 in”.".to_owned())?;
    let small = match second.scale {
        None if large == FOOT => INCH,
        None => return Err(NO_UNIT.to_owned()),
        Some(small) => small,
    };
    if large.unit != small.unit {
        return Err(format!("Don't mix {} and {} in one length.", large.name, small.name));
    }
    if small.tenths >= large.tenths {
        return Err("Put an × between two lengths, as in “24 × 36 in”.".to_owned());
    }
    if first.value.fract() != 0.0 || second.value * small.tenths >= large.tenths {
        return Err(format!("Check this length: it adds {} to {}. Type it in {0} only.", small.name, large.name));
    }
    Ok(first.value * large.tenths + second.value * small.tenths)
}

/// Each number of a length with the unit after it.
fn measures(part: &[Token]) -> Result<Vec<Measure>, String> {
    let mut rest = part;
    if rest.first() == Some(&Token::Hyphen) {
        return Err("A length can't be less than 0. Remove the minus sign.".to_owned());
    }
    let mut all = Vec::new();
    while !rest.is_empty() {
        let (value, used) = number(rest)?;
        rest = &rest[used..];
        if let [Token::Hyphen, Token::Scale(_), ..] = rest {
            rest = &rest[1..];
        }
        let scale = match rest.first() {
            Some(Token::Scale(scale)) => Some(*scale),
            _ => None,
        };
        rest = &rest[usize::from(scale.is_some())..];
        // "5'-2"" and "24-36 in" look the same except for the unit before the hyphen.
        match rest {
            [Token::Hyphen, _, ..] if scale.is_some() => rest = &rest[1..],
            [Token::Hyphen, ..] => return Err(apart(rest)),
            _ => {}
        }
        all.push(Measure { value, scale });
    }
    Ok(all)
}

/// The number at the beginning, maybe with a fraction, and how many tokens it takes.
fn number(tokens: &[Token]) -> Result<(f64, usize), String> {
    use Token::{Fraction, Hyphen, Number, Slash};
    let mixed = |whole: f64, part: f64, used| {
        if whole.fract() == 0.0 && part < 1.0 { Ok((whole + part, used)) } else { Err(odd_fraction()) }
    };
    match *tokens {
        [Number(whole), Hyphen, Number(over), Slash, Number(under), ..] => mixed(whole, divided(over, under)?, 5),
        [Number(whole), Number(over), Slash, Number(under), ..] => mixed(whole, divided(over, under)?, 4),
        [Number(over), Slash, Number(under), ..] => Ok((divided(over, under)?, 3)),
        [Number(whole), Hyphen, Fraction(part), ..] => mixed(whole, part, 3),
        [Number(whole), Fraction(part), ..] => mixed(whole, part, 2),
        [Number(whole) | Fraction(whole), ..] => Ok((whole, 1)),
        [Token::Scale(scale), ..] => Err(format!("Type a number before “{}”.", scale.short)),
        _ => Err(odd_fraction()),
    }
}

fn divided(over: f64, under: f64) -> Result<f64, String> {
    let is_whole = |number: f64| number.fract() == 0.0;
    if is_whole(over) && is_whole(under) && under >= 1.0 { Ok(over / under) } else { Err(odd_fraction()) }
}

fn odd_fraction() -> String {
    "Type a fraction as in “24 1/2 in”.".to_owned()
}

fn scan(text: &str) -> Result<Vec<Token>, String> {
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
        format!("“{word}” isn't a length. {}", super::WRONG)
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
        _ => Token::Fraction(vulgar(letter).ok_or_else(|| format!("Remove “{letter}”. {}", super::WRONG))?),
    };
    Ok((token, one))
}
