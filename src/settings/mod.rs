//! The department, its accounts, and the history of changes.

mod accounts;
mod journal;
mod routes;
mod you;

use crate::state::App;
use axum::Router;

pub fn router() -> Router<App> {
    routes::router().merge(accounts::router()).merge(journal::router()).merge(you::router())
}
