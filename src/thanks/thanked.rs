//! That someone was thanked.

use super::Whom;
use crate::mail::MailState;
use crate::named::named;
use time::OffsetDateTime;

named! {
    /// How someone was thanked.
    Way, "Choose how they were thanked.", WAYS: [
        Mail = "mail",
        Letter = "letter",
        InPerson = "in person",
    ]
}

/// A record of thanks.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Thanked {
    pub id: i64,
    pub whom: Whom,
    /// The keys of what it was for.
    pub reasons: Vec<String>,
    pub way: Way,
    pub at: OffsetDateTime,
    pub by: Option<String>,
    /// The email and its state.
    pub mail: Option<(i64, MailState)>,
    pub is_taken_back: bool,
}

impl Thanked {
    /// It wasn't undone, and its email didn't fail.
    #[must_use]
    pub fn counts(&self) -> bool {
        let failed = [MailState::Failed, MailState::Cancelled, MailState::Expired];
        !self.is_taken_back && self.mail.is_none_or(|(_, state)| !failed.contains(&state))
    }
}
