//! The Mail place: what waits, what the relay took, what it didn't; and the
//! link with which somebody wants no more announcements.

mod announcements;
mod message;
mod routes;
mod views;

use crate::state::App;
use axum::Router;

/// For the education officer.
pub fn router() -> Router<App> {
    routes::router().merge(message::router())
}

pub use announcements::router as public_router;
