//! What outlets need to know about an event besides its date and place, and the key
//! messages every story should carry.

mod countdown_items;
mod dates;
mod fields;
mod follow;
mod form;
mod question_lines;
mod routes;
mod store;

pub(super) use countdown_items::moves;
pub(super) use dates::strange_days;
pub(super) use fields::FIELDS;
pub use follow::{messages_changed, reword};
pub use question_lines::{coverage_facts, coverage_lines};
pub(super) use routes::router;
pub(super) use store::of_event;
pub use store::save;

/// The most messages of an event.
pub const MOST_MESSAGES: usize = 5;

/// One line each, except the messages.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Facts {
    /// Who outlets call, and the number.
    pub contact: String,
    pub phone: String,
    /// Their email, if it isn't in People.
    pub mail: String,
    /// Their email in People; none if no one there has the name, or several people do.
    pub in_people: Option<String>,
    pub why: String,
    pub area: String,
    pub arrival: String,
    pub interviews: String,
    /// What there is to see, and at about which minute.
    pub visuals: String,
    /// When the rain date is decided on, and where that is posted.
    pub decision: String,
    pub clothing: String,
    pub power: String,
    pub messages: Vec<String>,
    /// The messages of the lesson plan that the press may have. They are kept there.
    pub taught: Vec<String>,
    pub version: i64,
}

impl Facts {
    /// All messages that releases print: the press's own, and the lesson plan's with their
    /// sources. One that is both is printed once.
    pub(super) fn printed_messages(&self) -> String {
        let own = self.messages.iter().filter(|message| !self.taught.iter().any(|one| one.starts_with(*message)));
        own.chain(&self.taught).map(String::as_str).collect::<Vec<_>>().join("\n\n")
    }
}
