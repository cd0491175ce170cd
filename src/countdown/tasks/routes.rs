//! The addresses of a task.

use super::{edit, notes, page, remove, status};
use crate::state::App;
use axum::Router;

pub(in crate::countdown) fn router() -> Router<App> {
    page::router().merge(edit::router()).merge(remove::router()).merge(status::router()).merge(notes::router())
}
