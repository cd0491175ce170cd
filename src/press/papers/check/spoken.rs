//! The words of a text without its marks, what it leaves open, and its digits.

use crate::press::papers::marks::{self, Piece};
use crate::web::words;

/// Takes the place of a mark, so nothing is read across it.
pub(super) const GAP: char = '\u{fffc}';

/// The words of a text, with a gap for each mark.
pub(super) fn said(text: &str) -> String {
    let part = |piece: &Piece<'_>| match piece {
        Piece::Words(words) => (*words).to_owned(),
        Piece::Mark(_) | Piece::Other(_) => format!(" {GAP} "),
    };
    marks::pieces(text).iter().map(part).collect()
}

/// What is in square brackets, each once.
pub(super) fn open_places(text: &str) -> Vec<String> {
    let mut places: Vec<String> = Vec::new();
    let mut rest = text;
    while let Some((_, after)) = rest.split_once('[') {
        let Some((place, next)) = after.split_once(']') else { break };
        let place = place.split_whitespace().collect::<Vec<_>>().join(" ");
        if !place.is_empty() && !places.contains(&place) {
            places.push(place);
        }
        rest = next;
    }
    places
}

pub(super) fn digits(text: &str) -> String {
    text.chars().filter(char::is_ascii_digit).collect()
}

/// The digits of a phone number as pages show it, without a 1 in front.
pub(super) fn phone_digits(raw: &str) -> String {
    digits(&words::phone(raw))
}
