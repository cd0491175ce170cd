//! All SQL of thanks.

mod day;
mod drafts;
mod entry;
mod thanked;

pub(super) use day::day;
pub use day::save_day;
pub(super) use drafts::drafts;
pub use drafts::save_draft;
pub(super) use thanked::{add_thanked, take_back, thanked};
