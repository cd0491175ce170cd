//! The pages for permits and notices, and what they contribute to the countdown and to a
//! change of the date. `permit_records` stores the records.

mod form;
mod routes;
mod sending;
mod told;
mod views;

use crate::state::App;
use axum::Router;

pub use told::{moved, told};

/// Permits and notices of an event.
pub fn router() -> Router<App> {
    routes::router().merge(sending::router())
}
