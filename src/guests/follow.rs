//! The guests follow the event: arrival times move along with the first fire, and
//! invitations say what is true.

use super::book::Book;
use super::{store, views};
use crate::asks;
use crate::countdown::Following;
use crate::db::Tx;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use futures_util::future::BoxFuture;
use time::OffsetDateTime;

/// What was true of the others when a guest was invited, and stays said.
pub(super) const ALSO_EXPECTED: &str = "Also expected";

/// What the guests do when the event changes.
#[must_use]
pub fn follow<'a>(tx: &'a mut Tx, change: Following<'a>) -> BoxFuture<'a, Result<()>> {
    Box::pin(async move {
        if let Some(later) = change.minutes_later() {
            store::move_arrivals(tx, change.actor, change.new, later, change.now).await?;
        }
        write_anew(tx, (change.old, change.new), change.now).await?;
        Ok(())
    })
}

/// Writes what is true of the guests now under their invitations, after the list or
/// the program changed. Gives how many invitations did.
///
/// # Errors
/// The store's.
pub(super) async fn refresh(tx: &mut Tx, event_id: i64, now: OffsetDateTime) -> Result<usize> {
    let event = events::find_in(tx, event_id).await?.ok_or(Error::NotFound)?;
    write_anew(tx, (&event, &event), now).await
}

async fn write_anew(tx: &mut Tx, (known, event): (&Event, &Event), now: OffsetDateTime) -> Result<usize> {
    let book = Book::load(tx, event).await?;
    let mut changed = 0;
    for guest in &book.guests {
        let Some(request) = &guest.request else { continue };
        let mut facts = views::facts(&book, guest);
        facts.extend(request.facts.iter().filter(|(label, _)| label == ALSO_EXPECTED).cloned());
        changed += usize::from(asks::refresh(tx, known, request, &facts, now).await?);
    }
    Ok(changed)
}
