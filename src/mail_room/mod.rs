//! The Email page: email that is waiting, went out or didn't; and the link that stops
//! someone's announcements.

mod announcements;
mod history;
mod list;
mod message;
mod person_references;
mod routes;
mod test_message;
mod views;
mod visitor;

pub use announcements::router as public_router;
pub use history::HISTORY;
pub use person_references::PERSON_REFERENCES;
pub use routes::router;
