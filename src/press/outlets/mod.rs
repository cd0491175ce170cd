//! Outlets, who works there, and which of them are approached.

mod contacts;
mod form;
mod routes;
mod store;

use crate::named::named;
use crate::state::App;
use axum::Router;
use time::{Date, Weekday};

pub(super) use routes::owners;
pub use store::{add, add_contact, contacts, list_outlet};
pub(super) use store::{all, listings};

pub(super) fn router() -> Router<App> {
    routes::router()
}

named! {
    /// What an outlet is.
    OutletKind, "Choose what kind of outlet it is.", OUTLET_KINDS: [
        Daily = "daily newspaper",
        Weekly = "weekly newspaper",
        Radio = "radio",
        Television = "television",
        Online = "online",
        Community = "school or community",
        Newswire = "newswire",
    ]
}

/// What is known about an outlet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OutletDetails {
    pub name: String,
    pub kind: OutletKind,
    /// When it closes its pages, in words.
    pub rhythm: String,
    /// So many days before burn day it wants the text.
    pub lead_days: u8,
    /// Nobody is there on these weekdays
    pub closed_weekdays: Vec<Weekday>,
    /// and on these days.
    pub closed_on: Vec<Date>,
}

impl OutletDetails {
    #[must_use]
    pub fn is_closed(&self, on: Date) -> bool {
        self.closed_weekdays.contains(&on.weekday()) || self.closed_on.contains(&on)
    }
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Outlet {
    pub id: i64,
    pub details: OutletDetails,
    pub version: i64,
}

/// Somebody at an outlet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Contact {
    pub id: i64,
    pub outlet_id: i64,
    pub outlet: String,
    pub person_id: i64,
    pub name: String,
    pub part: String,
}

/// An outlet on an event's list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Listing {
    pub outlet_id: i64,
    pub owner_id: Option<i64>,
    pub owner: Option<String>,
}
