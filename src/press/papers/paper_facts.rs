//! Everything a release can say about its event, and how its marks are filled in.

use super::changes::{Change, NOT_KNOWN};
use super::marks::{BURN_DAY, DEPARTMENT, MESSAGES, PHONE, PLACE, Piece, RAIN_DATE, TIME, WHAT_HAPPENS, pieces};
use crate::events::{Details, Format};
use crate::press::facts::{FIELDS, Facts};
use crate::web::form;
use crate::web::words::{self, Reader};
use std::collections::BTreeMap;
use time::{Date, OffsetDateTime, PrimitiveDateTime, Time};

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
        all.extend(FIELDS.iter().map(|field| text(field.mark, field.printed(facts), field.wanted)));
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

    /// What is wrong with the marks of a text; nothing if all are known.
    pub fn mistake_in(&self, text: &str) -> Option<String> {
        for piece in pieces(text) {
            match piece {
                Piece::Mark(mark) if self.get(mark).is_none() => {
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
}

#[cfg(test)]
mod tests {
    use super::super::testing::details;
    use super::*;
    use time::macros::{date, datetime};

    /// 10 a.m. Sat, Jan. 9, 2027 in Chicago is 16:00 UTC.
    #[test]
    fn the_fire_is_spoken_of_in_the_past_from_the_hour_it_is_lit() {
        let details = Details { burn_on: date!(2027 - 01 - 09), rain_on: None, ..details() };
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
}
