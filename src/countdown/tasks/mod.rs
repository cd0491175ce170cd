//! One task: its page, editing and removing it, its status, and its notes.

mod context;
mod edit;
mod edit_page;
mod effects;
mod form;
mod needed;
mod neighbors;
mod notes;
mod page;
mod refusing;
mod remove;
mod routes;
mod status;
mod status_form;

pub use form::SIDES;
pub(super) use routes::router;
