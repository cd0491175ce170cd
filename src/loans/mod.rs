//! Loans: what we borrow and from whom, from the request through pickup and testing to
//! the return, with the condition of each item at pickup and at return.

mod agreement;
mod asking;
mod clash;
pub mod condition;
mod due;
mod follow;
mod form;
mod handing;
mod labels;
mod letters;
mod routes;
mod snapshot;
mod store;
mod views;

use crate::error::Result;
use crate::events::Event;
use crate::named::named;
use crate::state::App;
use crate::web::money::Cents;
use axum::{Extension, Router};
use condition::Checklist;
use futures_util::future::BoxFuture;
use std::collections::BTreeMap;
use time::{Date, OffsetDateTime, Time};

pub use asking::tie;
pub use due::{Out, countdown_items, moved, out};
pub use follow::{follow, reword};
pub use handing::store::{Record, add as add_record};
pub use snapshot::{LoanSnapshot, facts_of_requests};
pub use store::{Handed, Noted, add, find, forget, hand_back, hand_over, is_out, lent, note};

/// Finds how far from the rooms things that melt must be by the plan for the fire, in meters;
/// none without a plan.
pub type ReadHeat = fn(App, Event) -> BoxFuture<'static, Result<Option<f64>>>;

/// The loans of an event, and the short address on a label that leads to one of them.
pub fn router(heat: ReadHeat) -> Router<App> {
    routes::router()
        .merge(asking::router())
        .merge(letters::router())
        .merge(agreement::router())
        .merge(labels::router())
        .merge(handing::router())
        .layer(Extension(heat))
}

/// The forms that take photos.
pub fn files_router() -> Router<App> {
    handing::files_router()
}

named! {
    /// The type of item, which sets what is checked at pickup and return.
    Kind, "Choose a type.", KINDS: [
        Clock = "clock",
        Timers = "timers",
        Sound = "sound",
        Radios = "radios",
        Barriers = "barriers",
        Power = "power",
        Seats = "tables and seats",
        Other = "something else",
    ]
}

named! {
    /// Whose insurance pays for damage.
    Insured, "Choose who insures it.", INSURED: [
        Open = "not agreed yet",
        Lender = "by the lender",
        Us = "by us",
        Nobody = "by nobody",
    ]
}

named! {
    /// A step in the life of a loan. Each comes after the ones before it, except the
    /// last, which ends the loan.
    Step, "Choose what happened.", STEPS: [
        Asked = "asked",
        Promised = "promised",
        Confirmed = "confirmed in writing",
        Collected = "collected",
        Tested = "tested",
        Returned = "returned",
        Closed = "closed",
        NotLent = "not lent",
    ]
}

named! {
    /// Whether the item is available on a date.
    Free, "Choose whether it is available.", FREES: [
        Open = "not agreed yet",
        Free = "free",
        NotFree = "not free",
    ]
}

impl Insured {
    /// As people read it.
    #[must_use]
    pub fn label(self) -> &'static str {
        match self {
            Self::Nobody => "not insured",
            Self::Open | Self::Lender | Self::Us => self.as_str(),
        }
    }
}

impl Free {
    /// As people read it.
    #[must_use]
    pub fn label(self) -> &'static str {
        match self {
            Self::Open => self.as_str(),
            Self::Free => "available",
            Self::NotFree => "not available",
        }
    }
}

impl Step {
    /// As people read it.
    #[must_use]
    pub fn label(self) -> &'static str {
        match self {
            Self::Collected => "picked up",
            Self::NotLent => "fell through",
            Self::Asked | Self::Promised | Self::Confirmed | Self::Tested | Self::Returned | Self::Closed => {
                self.as_str()
            }
        }
    }

    /// Does it count for one date only?
    #[must_use]
    pub fn is_dated(self) -> bool {
        matches!(self, Self::Asked | Self::Promised | Self::Confirmed)
    }
}

/// The loan dates agreed for one date of the event.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Span {
    /// The first and the last day we have it,
    pub from_on: Date,
    pub until_on: Date,
    /// and the days of pickup and return, where agreed.
    pub collect_on: Option<Date>,
    pub return_on: Option<Date>,
}

/// What the lender and we agreed for one date.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Agreed {
    Free(Span),
    NotFree,
}

/// A pickup or a return.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Trip {
    pub place: String,
    pub at: Option<Time>,
    /// Who drives.
    pub by: String,
}

/// What people enter about a loan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Details {
    pub what: String,
    pub kind: Kind,
    pub serial: String,
    pub lender_id: i64,
    pub is_school: bool,
    /// The lender's contact, if that is someone else; may be empty.
    pub lender_contact: String,
    /// Our contact; may be empty.
    pub our_contact: String,
    /// By date of the event. A date nobody has talked about is missing.
    pub agreed: BTreeMap<Date, Agreed>,
    pub collect: Trip,
    pub bring: Trip,
    pub transport: String,
    pub power: String,
    pub connector: String,
    pub operator: String,
    pub training: String,
    pub value: Option<Cents>,
    pub insured: Insured,
    pub certificate: String,
    pub task_id: Option<i64>,
    /// There is only one, and the burn needs it.
    pub is_single: bool,
    /// The backup: another loan on the list, or in words.
    pub backup_id: Option<i64>,
    pub backup: String,
    pub same_as: Option<i64>,
    pub stands: String,
    pub distance_ft: Option<u32>,
    pub checklist: Checklist,
    pub notes: String,
}

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

impl Details {
    /// A loan with only its name, type and lender.
    #[must_use]
    pub fn of(what: &str, kind: Kind, lender_id: i64) -> Self {
        Self {
            what: what.to_owned(),
            kind,
            serial: String::new(),
            lender_id,
            is_school: false,
            lender_contact: String::new(),
            our_contact: String::new(),
            agreed: BTreeMap::new(),
            collect: Trip::default(),
            bring: Trip::default(),
            transport: String::new(),
            power: String::new(),
            connector: String::new(),
            operator: String::new(),
            training: String::new(),
            value: None,
            insured: Insured::Open,
            certificate: String::new(),
            task_id: None,
            is_single: false,
            backup_id: None,
            backup: String::new(),
            same_as: None,
            stands: String::new(),
            distance_ft: None,
            checklist: condition::usual(kind),
            notes: String::new(),
        }
    }
}

impl Loan {
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
fn date_name(event: &Event, on: Date) -> &'static str {
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
