//! The addresses of the accounts.

use super::{editing, inviting, links};
use crate::state::App;
use axum::Router;

pub(in crate::settings) fn router() -> Router<App> {
    inviting::router().merge(editing::router()).merge(links::router())
}
