//! After the burn: whom to thank for what, in which words, and who has been thanked.

mod attended;
mod context;
mod countdown_items;
mod dates;
mod day;
mod email;
mod figures;
mod form;
mod history;
mod letters;
mod list;
mod owed;
mod person;
mod person_references;
mod reader;
mod reasons;
mod routes;
mod store;
mod thanked;
mod thanking;
mod views;
mod whom;

pub use attended::Invited;
pub use countdown_items::countdown_items;
pub use dates::{begins_at, due_on};
pub use day::Day;
pub use history::HISTORY;
pub use owed::{Owed, Reason};
pub use person_references::PERSON_REFERENCES;
pub use reasons::{Lent, owed};
pub use routes::router;
pub use store::{save_day, save_draft};
pub use thanked::{Thanked, WAYS, Way};
pub use whom::{Deputy, Whom};

#[cfg(test)]
mod tests;
