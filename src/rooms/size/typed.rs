//! Lengths as people write them: `24 1/2 in`, `5' 2"`, `60,5 cm`.

use super::tokens::{FOOT, INCH, Scale, Token, scan};
use super::unit::Unit;

/// No item in a room is longer: 30 m, in tenths of a millimeter.
pub(super) const LONGEST: u32 = 300_000;

pub(super) const NO_UNIT: &str = "Add the unit: in, ft, cm, mm or m.";

/// One number with its unit. A length is one of these, or two, as in feet and inches.
#[derive(Debug, Clone, Copy)]
struct Measure {
    value: f64,
    scale: Option<Scale>,
}

/// The lengths that were typed, in tenths of a millimeter, and the unit of the first.
pub(super) fn read(text: &str, least: u32, most: u32) -> Result<(Vec<u32>, Unit), String> {
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
