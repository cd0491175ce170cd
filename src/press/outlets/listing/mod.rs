//! Which outlets are on an event's list.

mod routes;
mod store;

pub(super) use routes::router;
pub use store::list_outlet;
pub(in crate::press) use store::{listed_contacts, listings};
