//! Everything about the crew.

use super::{asking, assigning, day, home, person, posts, proposal, sheet, skills};
use crate::state::App;
use axum::Router;

/// The pages for the people who work on the event. The private page of a crew member is
/// apart.
pub fn router() -> Router<App> {
    home::router()
        .merge(posts::routes::router())
        .merge(assigning::router())
        .merge(skills::routes::router())
        .merge(person::router())
        .merge(asking::router())
        .merge(proposal::router())
        .merge(sheet::router())
        .merge(day::routes::router())
        .merge(day::times::router())
        .merge(day::hours::router())
}
