//! Pickup and return: the same checklist both times, photos, two names.

mod condition_page;
mod form;
mod handing_page;
mod refused;
mod routes;
pub(in crate::loans) mod store;

pub(super) use routes::{files_router, router};
