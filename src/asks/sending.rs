//! What the emails of one action have in common.

use super::Sender;
use crate::db::journal::Actor;
use crate::people::Person;
use crate::web::link::LinkKey;
use time::OffsetDateTime;

/// Who acts, whom the emails come from, the key that makes their links, and when.
#[derive(Clone, Copy)]
pub struct Sending<'a> {
    pub actor: Actor,
    pub sender: &'a Sender,
    pub key: &'a LinkKey,
    pub now: OffsetDateTime,
}

impl<'a> Sending<'a> {
    /// The two sides of a letter to someone.
    #[must_use]
    pub fn to(self, person: &'a Person) -> Parties<'a> {
        Parties { sender: self.sender, person, key: self.key }
    }
}

/// Between whom a letter goes, and the key that names this installation in its calendar
/// entries.
#[derive(Clone, Copy)]
pub struct Parties<'a> {
    pub sender: &'a Sender,
    pub person: &'a Person,
    pub key: &'a LinkKey,
}
