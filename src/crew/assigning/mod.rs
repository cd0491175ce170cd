//! One position: who has it, and assigning people to it.

mod assign;
mod assigned;
mod choices;
mod page;
mod place;
mod whom;

use crate::state::App;
use axum::Router;

pub use place::{Placed, Placing, place};

pub(super) fn router() -> Router<App> {
    page::router().merge(assign::router()).merge(assigned::router())
}
