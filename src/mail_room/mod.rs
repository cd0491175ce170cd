//! The Email page: email that is waiting, went out or didn't; and the link that stops
//! someone's announcements.

mod announcements;
mod list;
mod message;
mod routes;
mod test_message;
mod views;
mod visitor;

pub use announcements::router as public_router;
pub use routes::router;
