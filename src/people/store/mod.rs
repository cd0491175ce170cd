//! All SQL about people.

mod erasing;
mod journaled;
mod many;
mod merging;
mod one_fact;
mod reading;
mod row;
mod same;
mod search;
mod wishes;
mod writing;

pub use erasing::{erase, erased, words_of};
pub use many::{add_all, remove_all};
pub use merging::{Merge, MergeUndo, merge, separate};
pub use one_fact::{note_mail, refuse, rename, unsubscribe};
pub use reading::{by_name, everyone, find, list, look_up, organizations, some};
pub use row::Row;
pub use same::{merged_into, same_as};
pub use search::fill_search;
pub use wishes::mail_wishes;
pub use writing::{add, change, named};
