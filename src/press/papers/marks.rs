//! A release refers to the facts of its event by marks in its text, like
//! `{burn day}`. They are filled in wherever it is shown, so each fact is kept once
//! and a change is in every draft right away.

use crate::events::{Details, Format};
use crate::press::facts::{FIELDS, Facts};
use crate::web::form;
use crate::web::words::{self, Reader};
use std::collections::BTreeMap;
use time::{Date, OffsetDateTime, PrimitiveDateTime, Time};

pub(super) const BURN_DAY: &str = "burn day";
pub(super) const TIME: &str = "time";
pub(super) const RAIN_DATE: &str = "rain date";
pub(super) const PHONE: &str = "contact phone";
pub(super) const MAIL: &str = "contact email";
pub(super) const PLACE: &str = "place";
pub(super) const WHAT_HAPPENS: &str = "what happens";
const DEPARTMENT: &str = "department";
const MESSAGES: &str = "messages";
/// `{other: March 3, 2019}` is a date or time that isn't the event's, on purpose.
const OTHER: &str = "other:";
/// In place of a fact that is empty.
const NOT_KNOWN: &str = "not known";

/// A fact and its mark, which is also its name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::press) struct Fact {
    pub mark: &'static str,
    /// Tells one value from another, however dates are written.
    pub raw: String,
    /// As it is printed; in square brackets while it isn't known.
    pub shown: String,
}

/// Everything a release can say about its event.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::press) struct PaperFacts {
    pub all: Vec<Fact>,
    pub burn_on: Date,
    pub burn_time: Time,
    pub rain_on: Option<Date>,
    /// The day it is read: a date near it needs no year.
    pub today: Date,
}

/// A fact that has changed since a version was approved.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::press) struct Change {
    pub mark: String,
    pub was: String,
    pub is: String,
}

impl Change {
    /// "time is now 1 p.m. (was 10 a.m.)". What people typed is in quotes.
    pub fn says(&self) -> String {
        let is_plain = [BURN_DAY, TIME, RAIN_DATE, PHONE, MAIL].contains(&self.mark.as_str());
        let said =
            |value: &str| if is_plain || value == NOT_KNOWN { value.to_owned() } else { format!("“{value}”") };
        let (mark, is) = (&self.mark, said(&self.is));
        if self.was.is_empty() {
            format!("{mark} has changed and is now {is}")
        } else {
            format!("{mark} is now {is} (was {})", said(&self.was))
        }
    }
}

/// "time is now 1 p.m. (was 10 a.m.); place is now “B” (was “A”)"
pub(in crate::press) fn changes_say(changes: &[Change]) -> String {
    changes.iter().map(Change::says).collect::<Vec<_>>().join("; ")
}

/// What happens, in the tense of the moment it is filled in.
fn what_happens(format: Format, is_over: bool) -> &'static str {
    match (format, is_over) {
        (Format::OneAtATime, false) => {
            "Two rooms furnished alike will burn, one after the other. One room has a home fire sprinkler; the other \
             does not."
        }
        (Format::OneAtATime, true) => {
            "Two rooms furnished alike burned, one after the other. One room had a home fire sprinkler; the other did \
             not."
        }
        (Format::BothAtOnce, false) => {
            "Two rooms furnished alike will burn at the same time. One room has a home fire sprinkler; the other does \
             not."
        }
        (Format::BothAtOnce, true) => {
            "Two rooms furnished alike burned at the same time. One room had a home fire sprinkler; the other did not."
        }
    }
}

impl PaperFacts {
    /// As they are at this moment: once the fire is lit, it is spoken of in the past.
    pub fn of(details: &Details, department: &str, facts: &Facts, now: OffsetDateTime) -> Self {
        let here = details.zone.wall(now);
        let today = here.date();
        let is_over = here >= PrimitiveDateTime::new(details.burn_on, details.burn_time);
        let text = |mark, raw: &str, wanted: &str| Fact {
            mark,
            raw: raw.to_owned(),
            shown: if raw.is_empty() { format!("[{wanted}]") } else { raw.to_owned() },
        };
        let day = |on: Date| Reader::Press.near_day(on, today);
        let mut all = vec![
            Fact { mark: BURN_DAY, raw: words::iso(details.burn_on), shown: day(details.burn_on) },
            Fact { mark: TIME, raw: words::iso_time(details.burn_time), shown: Reader::Press.time(details.burn_time) },
            text(PLACE, &details.site, PLACE),
            Fact {
                mark: RAIN_DATE,
                raw: details.rain_on.map(words::iso).unwrap_or_default(),
                shown: details.rain_on.map_or("None".to_owned(), day),
            },
            Fact {
                mark: WHAT_HAPPENS,
                raw: details.format.to_string(),
                shown: what_happens(details.format, is_over).to_owned(),
            },
            text(DEPARTMENT, department, DEPARTMENT),
        ];
        all.extend(FIELDS.iter().map(|field| text(field.mark, facts.printed(field), field.wanted)));
        for fact in all.iter_mut().filter(|fact| fact.mark == PHONE && !fact.raw.is_empty()) {
            fact.shown = words::phone(&fact.raw);
        }
        all.push(text(MESSAGES, &facts.printed_messages(), "key messages: add them under Facts"));
        Self { all, burn_on: details.burn_on, burn_time: details.burn_time, rain_on: details.rain_on, today }
    }

    /// A date as it is printed.
    pub fn day(&self, on: Date) -> String {
        Reader::Press.near_day(on, self.today)
    }

    pub fn get(&self, mark: &str) -> Option<&Fact> {
        self.all.iter().find(|fact| fact.mark == mark)
    }

    /// A text with its facts filled in. A name we don't know stays as it is.
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
        differ.filter(|(fact, was)| fact.raw != **was).map(|(fact, was)| self.change(fact, was)).collect()
    }

    fn change(&self, fact: &Fact, was: &str) -> Change {
        let says = |raw: &str| match (fact.mark, raw) {
            (RAIN_DATE, "") => "none".to_owned(),
            (_, "") => NOT_KNOWN.to_owned(),
            (BURN_DAY | RAIN_DATE, raw) => form::day(raw).map_or_else(|_| raw.to_owned(), |on| self.day(on)),
            (TIME, raw) => form::time_of_day(raw).map_or_else(|_| raw.to_owned(), |at| Reader::Press.time(at)),
            (PHONE, raw) => words::phone(raw),
            (MESSAGES, raw) => raw.replace("\n\n", " / "),
            (_, raw) => raw.to_owned(),
        };
        Change { mark: fact.mark.to_owned(), was: says(was), is: says(&fact.raw) }
    }
}

/// A part of a text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Piece<'a> {
    Words(&'a str),
    /// The name between braces.
    Mark(&'a str),
    /// Printed as it is, and not checked.
    Other(&'a str),
}

pub(super) fn pieces(text: &str) -> Vec<Piece<'_>> {
    let mut all = Vec::new();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once('{') {
        // A brace that isn't closed on its line is just a brace.
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

/// What is wrong with the marks of a text; nothing if all are known.
pub(super) fn mistake(text: &str, facts: &PaperFacts) -> Option<String> {
    for piece in pieces(text) {
        match piece {
            Piece::Mark(mark) if facts.get(mark).is_none() => {
                return Some(format!("{{{mark}}} is not a fact we know. Use a name from the list below the text."));
            }
            Piece::Words(words) if words.contains(['{', '}']) => {
                return Some("A brace is not closed. Put the name between two braces, like {burn day}.".to_owned());
            }
            _ => {}
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::events::Weekdays;
    use crate::zone::Zone;
    use time::Weekday;
    use time::macros::{date, datetime, time};

    /// 10 a.m. Sat, Jan. 9, 2027 in Chicago is 16:00 UTC.
    #[test]
    fn the_fire_is_spoken_of_in_the_past_from_the_hour_it_is_lit() {
        let details = Details {
            name: "Two Rooms".to_owned(),
            site: "Fairground".to_owned(),
            zone: Zone::named("America/Chicago").unwrap(),
            burn_on: date!(2027 - 01 - 09),
            burn_time: time!(10:00),
            rain_on: None,
            format: Format::OneAtATime,
            audience: None,
            weekdays: Weekdays::new([Weekday::Saturday]).unwrap(),
            visitors: crate::events::VisitorFacts::default(),
        };
        for (now, says) in [
            (datetime!(2027-01-08 23:00 UTC), "will burn"),
            (datetime!(2027-01-09 15:59 UTC), "will burn"),
            (datetime!(2027-01-09 16:00 UTC), "burned"),
            // The evening of burn day, when it is the next day in London.
            (datetime!(2027-01-10 01:30 UTC), "burned"),
            (datetime!(2027-01-12 15:00 UTC), "burned"),
        ] {
            let facts = PaperFacts::of(&details, "", &Facts::default(), now);
            let happens = facts.get(WHAT_HAPPENS).unwrap();
            assert!(happens.shown.contains(says), "{now}: {}", happens.shown);
            assert_eq!(happens.raw, Format::OneAtATime.to_string(), "the hour alone changes no fact");
        }
    }

    #[test]
    fn a_text_is_split_into_words_and_marks() {
        let text = "On {burn day} at { time }; not {other: March 3, 2019}.";
        let all = [
            Piece::Words("On "),
            Piece::Mark("burn day"),
            Piece::Words(" at "),
            Piece::Mark("time"),
            Piece::Words("; not "),
            Piece::Other("March 3, 2019"),
            Piece::Words("."),
        ];
        assert_eq!(pieces(text), all);
        assert_eq!(pieces("open { here"), [Piece::Words("open { here")]);
        assert_eq!(pieces(""), []);
    }

    #[test]
    fn a_change_is_said_in_one_way_with_what_it_was() {
        let change =
            |mark: &str, was: &str, is: &str| Change { mark: mark.to_owned(), was: was.to_owned(), is: is.to_owned() };
        assert_eq!(change(TIME, "10 a.m.", "1 p.m.").says(), "time is now 1 p.m. (was 10 a.m.)");
        assert_eq!(change(PLACE, "A", NOT_KNOWN).says(), "place is now not known (was “A”)");
        assert_eq!(change(BURN_DAY, "", "Saturday, Jan. 9").says(), "burn day has changed and is now Saturday, Jan. 9");
    }
}
