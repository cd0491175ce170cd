//! Prints: letters, briefings, cue cards, and the presenter's sheet.

mod briefings;
mod card;
mod chosen;
mod letters;
mod presenter;

use crate::state::App;
use axum::Router;

pub(super) fn router() -> Router<App> {
    letters::router().merge(briefings::router()).merge(presenter::router())
}
