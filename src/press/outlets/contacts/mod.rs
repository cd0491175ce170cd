//! The contacts at outlets.

mod form;
mod routes;
mod store;

pub(super) use form::Attempt;
pub(super) use routes::router;
pub use store::{add_contact, contacts};
