//! What ran, and what that comes to.

mod routes;
mod store;

use crate::state::App;
use axum::Router;
use time::Date;

pub use store::add;
pub(super) use store::of_event;

pub(super) fn router() -> Router<App> {
    routes::router()
}

/// A story as it is noted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewStory {
    pub outlet_id: i64,
    pub ran_on: Date,
    pub title: String,
    /// Where it can be seen, or where the cutting is.
    pub link: String,
    /// Time on air, where there was any.
    pub air_seconds: Option<u32>,
    /// Which of the event's messages it carried, the first in the lowest bit.
    pub carried: u8,
    /// What should be put right; empty if nothing.
    pub correction: String,
    /// When that was done.
    pub corrected_on: Option<Date>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Story {
    pub id: i64,
    pub outlet_id: i64,
    pub outlet: String,
    pub details: NewStory,
    pub version: i64,
}
