//! Emails a version to one contact and logs it.

use super::changes::Change;
use super::holders::{self, Holder};
use super::letter::{Approved, Sending, letter};
use super::version::Version;
use crate::asks::Sender;
use crate::db::Tx;
use crate::error::Result;
use crate::events::Event;
use crate::mail;
use crate::people;
use crate::press::outlets::Contact;
use time::OffsetDateTime;

/// What is emailed, and who sends it.
pub(super) struct Mailing<'a> {
    pub event: &'a Event,
    pub version: &'a Version,
    pub sender: &'a Sender,
    /// The account of whoever sends it.
    pub by: i64,
}

impl Mailing<'_> {
    /// Emails it to a contact, with what has changed since the version they have, and logs
    /// it in these words. False if they can't get email or have it already.
    pub async fn send(
        &self,
        tx: &mut Tx,
        to: &Holder,
        changes: Vec<Change>,
        words: String,
        now: OffsetDateTime,
    ) -> Result<bool> {
        // Looked up in the same write, so nobody who has just unsubscribed gets it.
        let person = people::find(tx, to.person_id).await?;
        let Some(person) = person.filter(|person| person.has_mail() && !person.details.no_mail) else {
            return Ok(false);
        };
        let attempts = holders::attempts(tx, self.version.id, person.id).await?;
        let (approved, sending) = (Approved::of(self.version), Sending { changes, attempts });
        let letter = letter(&approved, self.event, (&person, &to.outlet), (self.sender, &sending), now)?;
        let Some(mail) = mail::queue(tx, &letter, now).await? else { return Ok(false) };
        let holder = Holder { version_id: self.version.id, ..to.clone() };
        holders::note_mailed(tx, self.by, self.event.id, &holder, (words, mail), now).await?;
        Ok(true)
    }
}

/// What the log says of a version that was emailed.
pub(super) fn emailed(called: &str) -> String {
    format!("Emailed the {called}.")
}

/// Logs that a version was emailed to a contact.
pub async fn note_sent(
    tx: &mut Tx,
    by: i64,
    event_id: i64,
    contact: &Contact,
    (version, mail_id): (&Approved, i64),
    now: OffsetDateTime,
) -> Result<()> {
    let holder = Holder { version_id: version.id, ..Holder::of(contact) };
    holders::note_mailed(tx, by, event_id, &holder, (emailed(&version.called()), mail_id), now).await
}
