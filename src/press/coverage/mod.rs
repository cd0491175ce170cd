//! What ran, and the numbers.

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

/// A story as someone enters it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewStory {
    pub outlet_id: i64,
    pub ran_on: Date,
    pub title: String,
    /// Its web address, or where the clipping is.
    pub link: String,
    /// Time on air, if it was on air.
    pub air_seconds: Option<u32>,
    /// Which of the event's key messages are in it, the first in the lowest bit.
    pub carried: u8,
    /// What the outlet should correct; empty if nothing.
    pub correction: String,
    /// When it did.
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
