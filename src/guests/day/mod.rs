//! Check-in on burn day, on a phone: who is here, and who came as a deputy.

mod deputy;
mod deputy_form;
mod here;
mod page;

use crate::state::App;
use axum::Router;

pub(super) fn router() -> Router<App> {
    page::router().merge(here::router()).merge(deputy::router())
}
