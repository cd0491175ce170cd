//! The events in the store.

mod reading;
mod row;
mod writing;

pub use reading::{current, find, find_in, found, list, revision_in};
pub use row::Row;
pub use writing::{Refused, change, create, make_current};
