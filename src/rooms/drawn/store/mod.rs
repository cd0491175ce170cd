//! All SQL of the drawn rooms.

mod fixtures;
mod frame;
mod places;

pub use fixtures::build;
pub(super) use fixtures::{fixtures, unbuild};
pub(super) use frame::frame;
pub use frame::set_frame;
pub use places::place;
pub(super) use places::{places, take_off};
