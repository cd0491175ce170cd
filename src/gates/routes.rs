//! The addresses of gates and decisions.

use super::{adopting, editing, gate_page, index, sheet, signing, starting, times_page};
use crate::state::App;
use axum::Router;

/// The gates, and the decisions that rest on them.
pub fn router() -> Router<App> {
    index::router()
        .merge(sheet::router())
        .merge(starting::router())
        .merge(times_page::router())
        .merge(signing::router())
        .merge(editing::router())
        .merge(adopting::router())
        .merge(gate_page::router())
}
