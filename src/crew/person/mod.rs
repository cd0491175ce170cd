//! The crew members: their positions, their qualifications and the hours they can be there.

mod certificates;
mod hours;
mod page;
mod people;
mod skill_line;

use crate::state::App;
use axum::Router;

pub(super) fn router() -> Router<App> {
    people::router().merge(page::router()).merge(hours::router()).merge(certificates::router())
}
