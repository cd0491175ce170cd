//! Importing people from a file: choose it, check it, import it, undo the import.

mod checking;
mod keeping;
mod page;
mod showing;
mod taking;
mod undoing;

use crate::state::App;
use axum::Router;

pub(super) fn router() -> Router<App> {
    showing::router().merge(keeping::router()).merge(undoing::router())
}

pub(super) fn files_router() -> Router<App> {
    taking::router()
}
