//! A loan as it stands: what was entered, what happened, and its condition records.

use super::choices::Step;
use super::details::Details;
use super::record::Record;
use crate::events::Event;
use time::{Date, OffsetDateTime};

/// A step as it was recorded.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Happened {
    pub id: i64,
    pub step: Step,
    pub for_on: Option<Date>,
    pub on: Date,
    pub who: String,
    pub note: String,
    pub at: OffsetDateTime,
    pub by: String,
    pub is_taken_back: bool,
}

/// An item borrowed for an event.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Loan {
    pub id: i64,
    pub event_id: i64,
    pub details: Details,
    /// The lender's name and organization, as they are in People.
    pub person: String,
    pub organization: String,
    pub lender_contact_id: Option<i64>,
    pub our_contact_id: Option<i64>,
    pub request_id: Option<i64>,
    /// Oldest first, including the ones that were undone.
    pub steps: Vec<Happened>,
    /// The condition records, oldest first, without the ones that were undone.
    pub records: Vec<Record>,
    pub version: i64,
}

/// Which loan it is, for an entry of the journal.
#[derive(Debug, Clone, Copy)]
pub(super) struct LoanName<'a> {
    pub event_id: i64,
    pub id: i64,
    pub what: &'a str,
}

impl Loan {
    pub(super) fn name(&self) -> LoanName<'_> {
        LoanName { event_id: self.event_id, id: self.id, what: &self.details.what }
    }

    /// The address of its page.
    #[must_use]
    pub fn href(&self) -> String {
        format!("/events/{}/loans/{}", self.event_id, self.id)
    }

    /// Its name, as a heading.
    #[must_use]
    pub fn title(&self) -> String {
        let mut letters = self.details.what.chars();
        letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
    }

    /// The lender, in short: the organization if there is one.
    #[must_use]
    pub fn lender(&self) -> &str {
        if self.organization.is_empty() { &self.person } else { &self.organization }
    }

    /// "Alder Bend Middle School (Eugenia Fontaine)", or just the person.
    #[must_use]
    pub fn lender_in_full(&self) -> String {
        if self.organization.is_empty() {
            self.person.clone()
        } else {
            format!("{} ({})", self.organization, self.person)
        }
    }

    /// The steps that count: the ones that were not undone.
    #[must_use]
    pub fn happened(&self) -> impl DoubleEndedIterator<Item = &Happened> {
        self.steps.iter().filter(|step| !step.is_taken_back)
    }

    #[must_use]
    pub fn has(&self, step: Step) -> bool {
        self.happened().any(|happened| happened.step == step)
    }

    /// The latest time this step happened.
    #[must_use]
    pub fn last(&self, step: Step) -> Option<&Happened> {
        self.happened().rev().find(|happened| happened.step == step)
    }

    /// The condition record of the pickup or of the return.
    #[must_use]
    pub fn record(&self, is_return: bool) -> Option<&Record> {
        self.records.iter().rev().find(|record| record.is_return == is_return)
    }

    /// Do we have it, so that it must go back?
    #[must_use]
    pub fn is_out(&self) -> bool {
        self.has(Step::Collected) && !self.is_back()
    }

    #[must_use]
    pub fn is_back(&self) -> bool {
        self.has(Step::Returned) || self.has(Step::Closed)
    }

    /// Is it still coming, or here?
    #[must_use]
    pub fn is_live(&self) -> bool {
        !self.is_back() && !self.has(Step::NotLent)
    }

    /// Its place on burn day: "60 ft (18 m) from the rooms". Meters are rounded down, so
    /// that they never promise more than the feet do.
    #[must_use]
    pub fn distance(&self) -> String {
        self.details
            .distance_ft
            .map(|feet| format!("{feet} ft ({} m) from the rooms", metres(feet)))
            .unwrap_or_default()
    }
}

/// Whole meters in this many feet. A foot is 0.3048 m.
fn metres(feet: u32) -> u32 {
    feet * 3_048 / 10_000
}

/// "burn day" or "rain date".
pub(super) fn date_name(event: &Event, on: Date) -> &'static str {
    if Some(on) == event.details.rain_on { "rain date" } else { "burn day" }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The international foot, 0.3048 m: 100 ft are 30.48 m, 3281 ft are
    /// 1000.05 m.
    #[test]
    fn feet_become_whole_metres_and_never_more_than_they_are() {
        assert_eq!([0, 60, 100, 3_281, 10_000].map(metres), [0, 18, 30, 1_000, 3_048]);
    }
}
