//! The department, its accounts, and what was changed.

mod accounts;
mod journal;
mod routes;
mod you;

use crate::state::App;
use axum::Router;

pub fn router() -> Router<App> {
    routes::router().merge(accounts::router()).merge(journal::router()).merge(you::router())
}
