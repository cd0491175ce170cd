//! The pages for permits and notices, and what they contribute to the countdown and to a
//! change of the date. `permit_records` stores the records.

mod countdown_items;
mod form;
mod routes;
mod sending;
mod views;

use crate::state::App;
use axum::Router;

pub use countdown_items::{countdown_items, moved};

/// Permits and notices of an event.
pub fn router() -> Router<App> {
    routes::router().merge(sending::router())
}
