//! The talk practiced against one of the plan's fires, and what the practices showed.

mod clock;
pub(super) mod form;
mod kept;
mod measured;
mod pieces;
mod routes;
mod store;

pub(super) use measured::{Practice, own_rate};
pub(super) use routes::router;
pub(super) use store::practices;
