//! Everyone the department knows, each of them once.

mod before_sending;
pub mod choosing;
mod fold;
mod history;
mod names;
mod person;
mod person_references;
mod references;
mod store;

pub use crate::calc::letters::fold;
pub use before_sending::against_sending;
pub use fold::{phone_digits, search_words};
pub use history::HISTORY;
pub use names::{agreed, sort_key, split, without_suffix};
pub use person::{CHANNELS, Channel, Details, Name, Person};
pub use person_references::PERSON_REFERENCES;
pub use references::{AllPersonReferences, Erasure, Moved, PersonColumn, PersonReferences};
pub use store::{
    Merge, MergeUndo, Row, add, add_all, by_name, change, erase, erased, everyone, fill_search, find, list, look_up,
    merge, merged_into, named, note_mail, organizations, refuse, remove_all, rename, same_as, separate, some,
    unsubscribe, words_of,
};
