//! Who changed what, and when, written in the same transaction as the change. Rows are only
//! added, except when a person's data is erased.

mod entry;
mod erasing;
mod reading;
pub(super) mod waiting;

pub use entry::{Actor, Entry, record};
pub use erasing::{forget, forget_words};
pub use reading::{Change, JournalEntry, Side, Wanted, kept, of, page, sides};
