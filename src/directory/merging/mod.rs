//! Making one of two records of the same person, and undoing it.

mod choice;
mod comparing;
mod separating;

use crate::state::App;
use axum::Router;

pub(super) fn router() -> Router<App> {
    comparing::router().merge(separating::router())
}
