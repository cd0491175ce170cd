//! The Email page: email that is waiting, went out or didn't; and the link that stops
//! someone's announcements.

mod announcements;
mod history;
mod message;
mod person_references;
mod routes;
mod views;

use crate::state::App;
use axum::Router;

/// For the education officer.
pub fn router() -> Router<App> {
    routes::router().merge(message::router())
}

pub use announcements::router as public_router;
pub use history::HISTORY;
pub use person_references::PERSON_REFERENCES;
