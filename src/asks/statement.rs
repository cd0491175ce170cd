//! What somebody knows of a question, and what has changed since.

pub(super) mod store;

use super::{Ask, Request, Said, letters};
use crate::events::Event;
use crate::web::words;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use time::Date;

/// A question as somebody was told it last: its dates with what they said to
/// each, and the lines under it.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Statement {
    /// None once the question is taken back.
    pub dates: Vec<StatedDate>,
    pub facts: Vec<(String, String)>,
    /// The asks whose entries may be in their calendar.
    #[serde(default)]
    pub entries: BTreeSet<i64>,
    /// A voice told it: what is wrong in their calendar they know, though no file
    /// has put it right.
    #[serde(default)]
    pub by_voice: bool,
}

/// One date in it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct StatedDate {
    /// The number of the ask, which names the entry in a calendar.
    pub ask: i64,
    pub on: Date,
    pub is_rain: bool,
    /// "yes", "sends Ana Ruiz"; empty without an answer.
    pub said: String,
}

/// One thing that is no longer as somebody knows it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    pub label: String,
    /// Empty if there was nothing.
    pub was: String,
    /// Empty if there is nothing any more.
    pub now: String,
}

impl StatedDate {
    fn of(event: &Event, ask: &Ask) -> Self {
        Self {
            ask: ask.id,
            on: ask.for_on,
            is_rain: Some(ask.for_on) == event.details.rain_on,
            said: ask.stands().map(super::Answer::says).unwrap_or_default(),
        }
    }

    /// Is it in their calendar?
    #[must_use]
    pub fn is_yes(&self) -> bool {
        self.said == Said::Yes.as_str()
    }

    /// Do they reckon with this date?
    fn counts(&self) -> bool {
        self.said != Said::No.as_str()
    }
}

impl Change {
    /// "Burn day: Sat 16 Oct 2027 (was Sat 9 Oct 2027)".
    #[must_use]
    pub fn says(&self) -> String {
        match (self.was.as_str(), self.now.as_str()) {
            ("", now) => format!("{}: {now}", self.label),
            (was, "") => format!("{}: none (was {was})", self.label),
            (was, now) => format!("{}: {now} (was {was})", self.label),
        }
    }
}

impl Statement {
    /// What is true now.
    #[must_use]
    pub fn of(event: &Event, request: &Request) -> Self {
        let dates = request.live().filter(|_| !request.is_withdrawn);
        let dates: Vec<StatedDate> = dates.map(|ask| StatedDate::of(event, ask)).collect();
        let entries = dates.iter().filter(|date| date.is_yes()).map(|date| date.ask).collect();
        Self { dates, facts: letters::lines(&event.details, request), entries, by_voice: false }
    }

    /// The dates that stand at yes.
    pub fn yes(&self) -> impl Iterator<Item = &StatedDate> {
        self.dates.iter().filter(|date| date.is_yes())
    }

    /// Must whoever knows this be told what is true? Not if it is the same, nor if
    /// no date on either side is one that they reckon with. A wrong entry in their
    /// calendar is for a message to take out.
    #[must_use]
    pub fn is_outdated(&self, truth: &Self) -> bool {
        let is_same = (&self.dates, &self.facts) == (&truth.dates, &truth.facts);
        let is_told = is_same || !self.dates.iter().chain(&truth.dates).any(StatedDate::counts);
        !is_told || (!self.by_voice && self.has_wrong_entry(truth))
    }

    /// Is something in their calendar that doesn't stand at yes?
    fn has_wrong_entry(&self, truth: &Self) -> bool {
        !self.entries.is_subset(&truth.entries)
    }

    /// The same with what was said to a date: whoever says it knows it. What was in
    /// their calendar still is.
    #[must_use]
    pub fn with(mut self, ask: i64, said: &str) -> Self {
        if let Some(date) = self.dates.iter_mut().find(|date| date.ask == ask) {
            said.clone_into(&mut date.said);
        }
        self
    }

    /// What a page showed of this to somebody who knows that: until a message is
    /// there, their calendar stays.
    #[must_use]
    pub fn seen_by(mut self, known: &Self) -> Self {
        self.entries.extend(&known.entries);
        self
    }

    fn burn_day(&self) -> Option<Date> {
        self.dates.iter().find(|date| !date.is_rain).map(|date| date.on)
    }

    fn rain_date(&self) -> Option<Date> {
        self.dates.iter().find(|date| date.is_rain).map(|date| date.on)
    }

    /// What is no longer as this says. The event tells a burn day that they are
    /// not asked about.
    #[must_use]
    pub fn changes(&self, event: &Event, truth: &Self) -> Vec<Change> {
        let day = |on: Option<Date>| on.map(words::day).unwrap_or_default();
        let mut changes = Vec::new();
        let mut note = |label: &str, was: String, now: String| {
            if was != now {
                changes.push(Change { label: label.to_owned(), was, now });
            }
        };
        if self.burn_day().is_some() || truth.burn_day().is_some() {
            note("Burn day", day(self.burn_day()), words::day(event.details.burn_on));
        }
        if self.rain_date().is_some() || truth.rain_date().is_some() {
            note("Rain date", day(self.rain_date()), day(event.details.rain_on));
        }
        let (was, now) = (numbered(&self.facts), numbered(&truth.facts));
        for (key, text) in &now {
            let before = was.iter().find(|(other, _)| other == key).map_or("", |(_, text)| text);
            note(key.0, before.to_owned(), (*text).to_owned());
        }
        for (key, text) in was.iter().filter(|(key, _)| now.iter().all(|(other, _)| other != key)) {
            note(key.0, (*text).to_owned(), String::new());
        }
        for date in &truth.dates {
            let known = self.dates.iter().find(|known| known.ask == date.ask);
            if let Some(known) = known.filter(|known| known.said != date.said) {
                let label = format!("Your answer for {}", words::day(date.on));
                note(&label, known.said.clone(), date.said.clone());
            }
        }
        changes
    }
}

/// Lines by their label and which of that label they are: two positions have two
/// hours.
fn numbered(facts: &[(String, String)]) -> Vec<((&str, usize), &str)> {
    let place = |at: usize| facts[..at].iter().filter(|(label, _)| *label == facts[at].0).count();
    facts.iter().enumerate().map(|(at, (label, text))| ((label.as_str(), place(at)), text.as_str())).collect()
}

/// A question with what its reader knows of it.
#[derive(Debug, Clone)]
pub struct Known {
    pub request: Request,
    pub statement: Statement,
    /// Nothing was ever noted: they are taken to know how it was.
    pub is_assumed: bool,
}

impl Known {
    /// What the reader knows: what was noted, else what is true.
    #[must_use]
    pub fn of(event: &Event, request: Request, noted: Option<Statement>) -> Self {
        let is_assumed = noted.is_none();
        let statement = noted.unwrap_or_else(|| Statement::of(event, &request));
        Self { request, statement, is_assumed }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::date;

    fn stated(dates: &[(i64, Date, bool, &str)], facts: &[(&str, &str)]) -> Statement {
        let date = |(ask, on, is_rain, said): &(i64, Date, bool, &str)| StatedDate {
            ask: *ask,
            on: *on,
            is_rain: *is_rain,
            said: (*said).to_owned(),
        };
        let fact = |(label, text): &(&str, &str)| ((*label).to_owned(), (*text).to_owned());
        Statement {
            dates: dates.iter().map(date).collect(),
            facts: facts.iter().map(fact).collect(),
            ..Statement::default()
        }
    }

    const NINTH: Date = date!(2027 - 10 - 09);
    const SIXTEENTH: Date = date!(2027 - 10 - 16);

    #[test]
    fn whoever_reckons_with_no_date_on_either_side_need_not_be_told() {
        let no = stated(&[(1, NINTH, false, "no")], &[]);
        let gone = stated(&[], &[]);
        assert!(!no.is_outdated(&gone));
        assert!(!no.is_outdated(&no));
        for said in ["", "yes", "maybe", "sends Ana Ruiz"] {
            assert!(stated(&[(1, NINTH, false, said)], &[]).is_outdated(&gone), "{said}");
        }
        let promoted = stated(&[(2, SIXTEENTH, false, "yes")], &[]);
        assert!(stated(&[(1, NINTH, false, "no"), (2, SIXTEENTH, true, "yes")], &[]).is_outdated(&promoted));
    }

    #[test]
    fn a_wrong_entry_in_a_calendar_is_taken_out_unless_a_voice_told_it() {
        let no = Statement { entries: [1].into(), ..stated(&[(1, NINTH, false, "no")], &[]) };
        let gone = stated(&[], &[]);
        assert!(no.is_outdated(&gone) && no.is_outdated(&stated(&[(1, NINTH, false, "no")], &[])));
        assert!(!Statement { by_voice: true, ..no.clone() }.is_outdated(&gone));
        let open = stated(&[(1, NINTH, false, "")], &[]);
        let lost = Statement { entries: [1].into(), ..open.clone() };
        assert!(lost.is_outdated(&open), "an entry of an open date is from a yes that was lost");
    }

    #[test]
    fn two_lines_of_one_label_are_told_apart() {
        let event = crate::asks::calendar::tests::event();
        let was = stated(&[], &[("Time", "07:00"), ("Time", "09:00")]);
        let now = stated(&[], &[("Time", "07:00"), ("Time", "10:00"), ("Wear", "boots")]);
        let says: Vec<String> = was.changes(&event, &now).iter().map(Change::says).collect();
        assert_eq!(says, ["Time: 10:00 (was 09:00)", "Wear: boots"]);
        let says: Vec<String> = now.changes(&event, &was).iter().map(Change::says).collect();
        assert_eq!(says, ["Time: 09:00 (was 10:00)", "Wear: none (was boots)"]);
    }
}
