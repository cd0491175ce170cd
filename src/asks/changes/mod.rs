//! The event changes: its date, time, place, rain date, name or format. Everyone with
//! out-of-date details gets the new ones, once.

mod before;
mod letter;
mod outdated;
mod refreshing;
mod telling;

pub use before::{Before, Count, before_change};
pub use outdated::tell_next;
pub use refreshing::{refresh, refresh_all, reword, reword_all};
pub use telling::tell_changes;

pub(super) use outdated::{Outdated, outdated};
pub(super) use telling::{tell_chosen, told_by_voice, write_to};
