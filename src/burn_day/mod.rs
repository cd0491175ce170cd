//! Burn day: the pages that the day itself needs, in one place. Each belongs to the part of
//! the program that knows it; this one says what they hold, and whom to call.

mod contacts;
mod overview;

use crate::state::App;
use axum::Router;

pub fn router() -> Router<App> {
    overview::router().merge(contacts::router())
}
