//! Changing an event. Everyone who was told the old facts gets the new ones, in the
//! same write.

mod carrying_out;
mod conflict;
mod preview;
mod routes;
mod telling;

pub(super) use carrying_out::{Decided, carry_out};
pub(super) use routes::router;
pub(super) use telling::{ToUpdate, told};
