//! The pages of permits and notices, and what they tell the countdown and a
//! change of the date. What is known of each is kept by `permit_records`.

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
