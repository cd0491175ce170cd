//! The guests follow the event: arrival times move along with the first fire, and
//! invitations say what is true.

use super::book::Book;
use super::{store, views};
use crate::asks;
use crate::countdown::Following;
use crate::db::Tx;
use crate::error::Result;
use crate::events::Event;
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
        refresh(tx, change.new, change.now).await
    })
}

/// Writes what is true of the guests now under their invitations.
///
/// # Errors
/// The store's.
pub(super) async fn refresh(tx: &mut Tx, event: &Event, now: OffsetDateTime) -> Result<()> {
    let book = Book::load(tx, event).await?;
    for known in &book.guests {
        let Some(request) = &known.request else { continue };
        let mut facts = views::facts(&book, known);
        facts.extend(request.facts.iter().filter(|(label, _)| label == ALSO_EXPECTED).cloned());
        asks::refresh(tx, event, request, &facts, now).await?;
    }
    Ok(())
}
