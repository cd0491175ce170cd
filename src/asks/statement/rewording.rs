//! New words for stored lines that say the same.

use super::{Statement, numbered};
use crate::calc::dates_in_text::{self, Named};

/// A line with a label and a text.
type Line = (String, String);
/// Old lines with the new ones in their place.
pub(in crate::asks) type Pairs = Vec<(Line, Line)>;

/// What earlier versions called some lines.
const RENAMED: [(&str, &str); 8] = [
    ("Post", "Position"),
    ("Thing", "Item"),
    ("We have it", "We need it"),
    ("We have it, if put off", "If postponed, we need it"),
    ("We collect it", "Pickup"),
    ("We bring it back", "Return"),
    ("It stands", "Place on burn day"),
    ("Also invited with you", "Invited with you"),
];

/// Old lines with the new ones in their place: line by line if there are as many, otherwise
/// by label. A line that is gone only gets its new label.
pub(in crate::asks) fn pairs(old: &[Line], new: &[Line]) -> Pairs {
    if old.len() == new.len() {
        return old.iter().cloned().zip(new.iter().cloned()).collect();
    }
    let renamed: Vec<Line> = old
        .iter()
        .map(|(label, text)| {
            let now = RENAMED.iter().find(|(was, _)| was == label).map_or(label.as_str(), |(_, now)| now);
            (now.to_owned(), text.clone())
        })
        .collect();
    let now = numbered(new);
    let in_place = numbered(&renamed).into_iter().map(|(key, text)| {
        let text = now.iter().find(|(other, _)| *other == key).map_or(text, |(_, text)| text);
        (key.0.to_owned(), text.to_owned())
    });
    old.iter().cloned().zip(in_place).collect()
}

/// Puts new words in place of old ones. Where more than the words differs, the line gets
/// its new label and keeps what they know.
pub(in crate::asks) fn reword(lines: &mut [Line], pairs: &Pairs) {
    for line in lines {
        if let Some((was, now)) = pairs.iter().find(|(was, _)| was == line) {
            *line = if is_same(was, now) { now.clone() } else { (now.0.clone(), was.1.clone()) };
        } else if let Some((_, now)) = pairs.iter().find(|(was, _)| was.0 == line.0) {
            line.0.clone_from(&now.0);
        }
    }
}

impl Statement {
    /// Puts new words in place of old ones.
    pub(super) fn reword(&mut self, pairs: &Pairs) {
        reword(&mut self.facts, pairs);
    }
}

/// The lines whose text the program words. All others hold what someone typed.
const WORDED: [&str; 7] =
    ["What you do", "Your part", "We need it", "If postponed, we need it", "Pickup", "Return", "Press area"];

/// Do two texts of a line say the same in other words? Their days, times and figures tell.
fn is_same(was: &(String, String), now: &(String, String)) -> bool {
    was.1 == now.1 || (WORDED.contains(&now.0.as_str()) && figures(&was.1) == figures(&now.1))
}

/// The days and times of a text in one form, then its other numbers.
fn figures(text: &str) -> (Vec<String>, Vec<String>) {
    let (mut named, mut rest, mut end) = (Vec::new(), String::new(), 0);
    for found in dates_in_text::find(text) {
        named.push(match found.named {
            Named::Day { year, month, day, .. } => format!("{year:?} {month} {day}"),
            Named::Clock { at, .. } => at.to_string(),
        });
        rest.push_str(text.get(end..found.start).unwrap_or_default());
        rest.push(' ');
        end = found.end;
    }
    rest.push_str(&text[end..]);
    let numbers = rest.split(|c: char| !c.is_ascii_digit()).filter(|number| !number.is_empty());
    (named, numbers.map(str::to_owned).collect())
}
