//! An event's questions and replies, for the people who work on it.

use super::{
    Ledgers, ReadClosings, ReadCoverage, asking, calendar_link, calls, list, recording, request_page, same_hours,
    telling,
};
use crate::state::App;
use axum::{Extension, Router};

/// Everything under Replies. What the questions need from slices above is passed in.
pub fn router(closings: ReadClosings, coverage: ReadCoverage, ledgers: Ledgers) -> Router<App> {
    list::router()
        .merge(asking::page::router())
        .merge(asking::again::router())
        .merge(request_page::router())
        .merge(recording::router())
        .merge(calendar_link::router())
        .merge(telling::router())
        .merge(calls::logging::router())
        .merge(same_hours::router())
        .layer(Extension(closings))
        .layer(Extension(coverage))
        .layer(Extension(ledgers))
}
