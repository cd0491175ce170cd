//! Everything under an event's Press.

use super::{coverage, day, facts, home, log, outlets, papers};
use crate::state::App;
use axum::Router;

pub fn router() -> Router<App> {
    home::router()
        .merge(outlets::router())
        .merge(facts::router())
        .merge(log::router())
        .merge(papers::router())
        .merge(day::router())
        .merge(coverage::router())
}
