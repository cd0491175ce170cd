//! What a paper says of its event stands in its text as marks, as in
//! `{burn day}`, and is filled in wherever the paper is shown, so that each fact
//! has one place and a changed one is in every draft at once.

use crate::events::{Details, Format};
use crate::press::facts::{FIELDS, Facts};
use crate::web::words;
use std::collections::BTreeMap;
use time::{Date, Time};

pub(super) const BURN_DAY: &str = "burn day";
pub(super) const TIME: &str = "time";
pub(super) const RAIN_DATE: &str = "rain date";
pub(super) const PHONE: &str = "contact phone";
pub(super) const PLACE: &str = "place";
const WHAT_HAPPENS: &str = "what happens";
const DEPARTMENT: &str = "department";
const MESSAGES: &str = "messages";
/// `{other: 3 March 2019}` is a day or time that is none of the event's, on
/// purpose.
const OTHER: &str = "other:";

/// A fact under its mark, which is its name in words too.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::press) struct Fact {
    pub mark: &'static str,
    /// What tells one value from another, however days are written.
    pub raw: String,
    /// As papers have it; in square brackets while it isn't known.
    pub shown: String,
}

/// All that a paper can say of its event.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::press) struct PaperFacts {
    pub all: Vec<Fact>,
    pub burn_on: Date,
    pub burn_time: Time,
    pub rain_on: Option<Date>,
}

/// A fact of an approved version that is another now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::press) struct Change {
    pub mark: String,
    pub was: String,
    pub is: String,
}

impl Change {
    /// "time was 10:00, is 13:00"
    pub fn says(&self) -> String {
        let Self { mark, was, is } = self;
        if was.is_empty() { format!("{mark} has changed, is now {is}") } else { format!("{mark} was {was}, is {is}") }
    }
}

/// "time was 10:00, is 13:00; place was A, is B"
pub(in crate::press) fn changes_say(changes: &[Change]) -> String {
    changes.iter().map(Change::says).collect::<Vec<_>>().join("; ")
}

/// "Saturday 2 January 2027", as outlets have it.
pub(in crate::press) fn long_day(on: Date) -> String {
    format!("{} {} {} {}", on.weekday(), on.day(), on.month(), on.year())
}

fn what_happens(format: Format) -> &'static str {
    match format {
        Format::OneAtATime => {
            "Two rooms, furnished alike, are set on fire one after the other: one without a home fire sprinkler, one \
             with."
        }
        Format::BothAtOnce => {
            "Two rooms, furnished alike, are set on fire at the same time: one without a home fire sprinkler, one with."
        }
    }
}

impl PaperFacts {
    pub fn of(details: &Details, department: &str, facts: &Facts) -> Self {
        let text = |mark, raw: &str, wanted: &str| Fact {
            mark,
            raw: raw.to_owned(),
            shown: if raw.is_empty() { format!("[{wanted}]") } else { raw.to_owned() },
        };
        let mut all = vec![
            Fact { mark: BURN_DAY, raw: words::iso(details.burn_on), shown: long_day(details.burn_on) },
            Fact { mark: TIME, raw: words::clock(details.burn_time), shown: words::clock(details.burn_time) },
            text(PLACE, &details.site, PLACE),
            Fact {
                mark: RAIN_DATE,
                raw: details.rain_on.map(words::iso).unwrap_or_default(),
                shown: details.rain_on.map_or("None".to_owned(), long_day),
            },
            Fact {
                mark: WHAT_HAPPENS,
                raw: details.format.to_string(),
                shown: what_happens(details.format).to_owned(),
            },
            text(DEPARTMENT, department, DEPARTMENT),
        ];
        all.extend(FIELDS.iter().map(|field| text(field.mark, (field.of)(facts), field.wanted)));
        all.push(text(MESSAGES, &facts.messages.join("\n\n"), "messages: write them among the press facts"));
        Self { all, burn_on: details.burn_on, burn_time: details.burn_time, rain_on: details.rain_on }
    }

    pub fn get(&self, mark: &str) -> Option<&Fact> {
        self.all.iter().find(|fact| fact.mark == mark)
    }

    /// A text with its facts in it. What is no mark stays as it is.
    pub fn fill(&self, text: &str) -> String {
        let shown = |piece: &Piece<'_>| match piece {
            Piece::Words(words) | Piece::Other(words) => (*words).to_owned(),
            Piece::Mark(mark) => self.get(mark).map_or_else(|| format!("{{{mark}}}"), |fact| fact.shown.clone()),
        };
        pieces(text).iter().map(shown).collect()
    }

    /// What differs from the facts that an approved version was made from.
    pub fn changes(&self, was: &BTreeMap<String, String>) -> Vec<Change> {
        let differ = self.all.iter().filter_map(|fact| was.get(fact.mark).map(|was| (fact, was)));
        differ.filter(|(fact, was)| fact.raw != **was).map(|(fact, was)| Change::of(fact, was)).collect()
    }
}

impl Change {
    fn of(fact: &Fact, was: &str) -> Self {
        let says = |raw: &str| match (fact.mark, raw) {
            (RAIN_DATE, "") => "none".to_owned(),
            (_, "") => "not known".to_owned(),
            (BURN_DAY | RAIN_DATE, raw) => crate::web::form::day(raw).map_or_else(|_| raw.to_owned(), long_day),
            (MESSAGES, raw) => raw.replace("\n\n", " / "),
            (_, raw) => raw.to_owned(),
        };
        Self { mark: fact.mark.to_owned(), was: says(was), is: says(&fact.raw) }
    }
}

/// A part of a text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Piece<'a> {
    Words(&'a str),
    /// The name between braces.
    Mark(&'a str),
    /// Meant as it is.
    Other(&'a str),
}

pub(super) fn pieces(text: &str) -> Vec<Piece<'_>> {
    let mut all = Vec::new();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once('{') {
        // A brace that closes nothing on its line is a brace.
        let Some((mark, next)) = after.split_once('}').filter(|(mark, _)| !mark.contains(['{', '\n'])) else { break };
        if !before.is_empty() {
            all.push(Piece::Words(before));
        }
        let mark = mark.trim();
        all.push(mark.strip_prefix(OTHER).map_or(Piece::Mark(mark), |words| Piece::Other(words.trim())));
        rest = next;
    }
    if !rest.is_empty() {
        all.push(Piece::Words(rest));
    }
    all
}

/// What is wrong with the marks of a text, in words; nothing if all are known.
pub(super) fn mistake(text: &str, facts: &PaperFacts) -> Option<String> {
    for piece in pieces(text) {
        match piece {
            Piece::Mark(mark) if facts.get(mark).is_none() => {
                return Some(format!("{{{mark}}} is no mark. The marks are listed beside the text."));
            }
            Piece::Words(words) if words.contains(['{', '}']) => {
                return Some("A brace is left open. A mark is a name between braces, as in {burn day}.".to_owned());
            }
            _ => {}
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_falls_into_words_and_marks() {
        let text = "On {burn day} at { time }; not {other: 3 March 2019}.";
        let all = [
            Piece::Words("On "),
            Piece::Mark("burn day"),
            Piece::Words(" at "),
            Piece::Mark("time"),
            Piece::Words("; not "),
            Piece::Other("3 March 2019"),
            Piece::Words("."),
        ];
        assert_eq!(pieces(text), all);
        assert_eq!(pieces("open { here"), [Piece::Words("open { here")]);
        assert_eq!(pieces(""), []);
    }
}
