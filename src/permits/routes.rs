//! The addresses of permits and notices.

use super::{editing, list, page, print, reading_back, removing, sending};
use crate::state::App;
use axum::Router;

/// Permits and notices of an event.
pub fn router() -> Router<App> {
    list::router()
        .merge(print::router())
        .merge(page::router())
        .merge(editing::router())
        .merge(removing::router())
        .merge(sending::router())
        .merge(reading_back::router())
}
