//! The pages of the rooms.

use super::{adding, audit, build, deciding, drawn, edit, index, sourcing, thing_page, tolerance};
use crate::state::App;
use axum::Router;

/// The rooms of an event.
pub fn router() -> Router<App> {
    Router::new()
        .merge(index::router())
        .merge(thing_page::router())
        .merge(adding::router())
        .merge(edit::router())
        .merge(build::router())
        .merge(deciding::router())
        .merge(tolerance::router())
        .merge(audit::router())
        .merge(sourcing::router())
        .merge(drawn::router())
}
