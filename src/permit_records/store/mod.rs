//! The records in the store.

mod changing;
mod conditions;
mod journal;
mod reading;
mod refused;
mod rows;
mod sendings;

pub use changing::{add, add_usual, remove, save};
pub use conditions::read_back;
pub use reading::{find, known_rules, of_event};
pub use refused::Refused;
pub use sendings::{add_sending, receive, remove_sending};
