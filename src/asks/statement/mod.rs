//! What someone knows about a question, and what has changed since.

pub(super) mod rewording;
pub(super) mod store;

use super::answer::STATED_DEPUTY;
use super::{Answer, Ask, Request, Said, lines};
use crate::events::Event;
use crate::web::words::Reader;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use time::Date;

/// A question as someone last knew it: its dates, their answer to each, and the lines
/// under it.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Statement {
    /// None once the question is withdrawn.
    pub dates: Vec<StatedDate>,
    pub facts: Vec<(String, String)>,
    /// The asks that may have an entry in their calendar.
    #[serde(default)]
    pub entries: BTreeSet<i64>,
    /// They were told in a call: they know what is wrong in their calendar, although no
    /// email has corrected it.
    #[serde(default)]
    pub by_voice: bool,
}

/// One date in it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct StatedDate {
    /// The ask's number, which names the calendar entry.
    pub ask: i64,
    pub on: Date,
    pub is_rain: bool,
    /// "yes", "sends Ana Ruiz". Empty without an answer.
    pub said: String,
}

/// One detail that is no longer as someone knows it, in the words of a reader.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    pub label: String,
    /// Empty if there was nothing.
    pub was: String,
    /// Empty if there no longer is anything.
    pub now: String,
}

impl StatedDate {
    fn of(event: &Event, ask: &Ask) -> Self {
        Self {
            ask: ask.id,
            on: ask.for_on,
            is_rain: Some(ask.for_on) == event.details.rain_on,
            said: ask.stands().map(Answer::stated).unwrap_or_default(),
        }
    }

    /// Is it in their calendar?
    #[must_use]
    pub fn is_yes(&self) -> bool {
        self.said == Said::Yes.as_str()
    }

    /// Might they come on this date?
    fn counts(&self) -> bool {
        self.said != Said::No.as_str()
    }
}

impl Change {
    /// "Burn day: Saturday, October 16, 2027 (was Saturday, October 9, 2027)".
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
        Self { dates, facts: lines::lines(&event.details, request), entries, by_voice: false }
    }

    /// The dates answered with yes.
    pub fn yes(&self) -> impl Iterator<Item = &StatedDate> {
        self.dates.iter().filter(|date| date.is_yes())
    }

    /// Does someone who knows this need an update? Not if nothing differs, and not if they
    /// wouldn't come on any date, old or new. A wrong entry in their calendar takes an
    /// email to remove.
    #[must_use]
    pub fn is_outdated(&self, truth: &Self) -> bool {
        let is_same = (&self.dates, &self.facts) == (&truth.dates, &truth.facts);
        let is_told = is_same || !self.dates.iter().chain(&truth.dates).any(StatedDate::counts);
        !is_told || (!self.by_voice && self.has_wrong_entry(truth))
    }

    /// Is there an entry in their calendar for a date not answered with yes?
    fn has_wrong_entry(&self, truth: &Self) -> bool {
        !self.entries.is_subset(&truth.entries)
    }

    /// The same with an answer to a date, which whoever gave it knows. Their calendar
    /// stays as it was.
    #[must_use]
    pub fn with(mut self, ask: i64, said: &str) -> Self {
        if let Some(date) = self.dates.iter_mut().find(|date| date.ask == ask) {
            said.clone_into(&mut date.said);
        }
        self
    }

    /// What someone knows after a page showed them this. Their calendar stays as it was
    /// until an email arrives.
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

    /// What has changed since, for a reader. The event gives a burn day that they aren't
    /// asked about.
    #[must_use]
    pub fn changes(&self, event: &Event, truth: &Self, reader: Reader) -> Vec<Change> {
        let day = |on: Option<Date>| on.map(|on| reader.day(on)).unwrap_or_default();
        let mut changes = Vec::new();
        let mut note = |label: &str, was: String, now: String| {
            if was != now {
                changes.push(Change { label: label.to_owned(), was, now });
            }
        };
        if self.burn_day().is_some() || truth.burn_day().is_some() {
            note("Burn day", day(self.burn_day()), reader.day(event.details.burn_on));
        }
        if self.rain_date().is_some() || truth.rain_date().is_some() {
            note("Rain date", day(self.rain_date()), day(event.details.rain_on));
        }
        let (was, now) = (numbered(&self.facts), numbered(&truth.facts));
        for (key, text) in &now {
            let before = was.iter().find(|(other, _)| other == key).map_or("", |(_, text)| text);
            note(key.0, lines::text_for(reader, key.0, before), lines::text_for(reader, key.0, text));
        }
        for (key, text) in was.iter().filter(|(key, _)| now.iter().all(|(other, _)| other != key)) {
            note(key.0, lines::text_for(reader, key.0, text), String::new());
        }
        for date in &truth.dates {
            let known = self.dates.iter().find(|known| known.ask == date.ask);
            if let Some(known) = known.filter(|known| known.said != date.said) {
                let whose = if reader == Reader::App { "Their answer" } else { OWN_ANSWER };
                let label = format!("{whose} for {}", reader.day(date.on));
                note(&label, answer_says(&known.said), answer_says(&date.said));
            }
        }
        changes
    }
}

/// How a change to the reader's own answer begins.
pub(super) const OWN_ANSWER: &str = "Your answer";

/// "yes", "sending Ana Ruiz": a stored answer as people read it.
fn answer_says(stated: &str) -> String {
    stated.strip_prefix(STATED_DEPUTY).map_or_else(|| stated.to_owned(), |who| format!("sending {who}"))
}

/// Lines by label and by their place among those with that label: two positions have two
/// sets of hours.
fn numbered(facts: &[(String, String)]) -> Vec<((&str, usize), &str)> {
    let place = |at: usize| facts[..at].iter().filter(|(label, _)| *label == facts[at].0).count();
    facts.iter().enumerate().map(|(at, (label, text))| ((label.as_str(), place(at)), text.as_str())).collect()
}

/// A question, and what the person asked knows about it.
#[derive(Debug, Clone)]
pub struct Known {
    pub request: Request,
    pub statement: Statement,
    /// Nothing was ever noted, so we assume they know how it was.
    pub is_assumed: bool,
}

impl Known {
    /// What they know: what was noted, or else what is true.
    #[must_use]
    pub fn of(event: &Event, request: Request, noted: Option<Statement>) -> Self {
        let is_assumed = noted.is_none();
        let statement = noted.unwrap_or_else(|| Statement::of(event, &request));
        Self { request, statement, is_assumed }
    }
}

#[cfg(test)]
mod tests;
