//! The front page, and what its buttons do.

use super::{page, said_yes};
use crate::state::App;
use axum::Router;

pub(in crate::press) fn router() -> Router<App> {
    page::router().merge(said_yes::router())
}
