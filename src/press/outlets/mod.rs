//! Outlets, the contacts there, and which outlets are on an event's list.

mod contacts;
mod editing;
mod form;
mod journaled;
mod list;
mod listing;
mod owners;
mod page;
mod routes;
mod store;

use crate::named::named;
use time::{Date, Weekday};

pub use contacts::{add_contact, contacts};
pub use listing::list_outlet;
pub(super) use listing::{listed_contacts, listings};
pub(super) use owners::owners;
pub(super) use routes::router;
pub use store::add;
pub(super) use store::all;

named! {
    /// The type of an outlet.
    OutletKind, "Choose the type of outlet.", OUTLET_KINDS: [
        Daily = "daily newspaper",
        Weekly = "weekly newspaper",
        Radio = "radio",
        Television = "television",
        Online = "online",
        Community = "school or community",
        Newswire = "newswire",
    ]
}

/// What we know about an outlet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OutletDetails {
    pub name: String,
    pub kind: OutletKind,
    /// Its deadline, in words.
    pub rhythm: String,
    /// How many days before burn day it needs the text.
    pub lead_days: u8,
    /// It is closed on these weekdays
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

impl Outlet {
    /// The address of its page.
    pub fn href(&self, event_id: i64) -> String {
        format!("/events/{event_id}/press/outlets/{}", self.id)
    }
}

/// A contact: someone at an outlet.
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
