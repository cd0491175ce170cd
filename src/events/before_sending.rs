//! A message says the facts of its event as they were when it was written.

use super::store;
use crate::db::{Tx, Write};
use crate::mail::About;

/// Why a message about an event is no longer true, if it isn't.
#[must_use]
pub fn against_sending<'c>(tx: &'c mut Tx, mail: &'c About) -> Write<'c, Option<&'static str>> {
    Box::pin(async move {
        let Some(revision) = mail.facts_revision else { return Ok(None) };
        let now = match mail.event_id {
            Some(event) => store::revision_in(tx, event).await?,
            None => None,
        };
        let why = "The date or another detail of the event changed before this could go out.";
        Ok((now != Some(revision)).then_some(why))
    })
}
