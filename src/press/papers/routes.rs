//! All pages of releases.

use super::{approving, corrections, editing, list, printing, readings, sending};
use crate::state::App;
use axum::Router;

pub(in crate::press) fn router() -> Router<App> {
    list::router()
        .merge(editing::router())
        .merge(approving::router())
        .merge(printing::router())
        .merge(sending::router())
        .merge(corrections::router())
        .merge(readings::router())
}
