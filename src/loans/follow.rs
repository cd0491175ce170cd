//! The loans follow the event: what was asked of lenders says the days that are
//! true.

use super::asking::lines_of;
use super::book::Book;
use crate::asks;
use crate::countdown::Following;
use crate::db::Tx;
use crate::error::Result;
use crate::events::Event;
use futures_util::future::BoxFuture;
use std::sync::Arc;
use time::{Date, OffsetDateTime};

/// What the loans do when the event changes.
#[must_use]
pub fn follow<'a>(tx: &'a mut Tx, change: Following<'a>) -> BoxFuture<'a, Result<()>> {
    Box::pin(async move {
        let known = (change.events, Arc::clone(change.calendar));
        let book = Book::read(tx, change.new.clone(), known, change.now).await?;
        refresh(tx, (change.old, &book), change.now).await?;
        Ok(())
    })
}

/// Writes the loans as they are now under the questions about them, whose readers
/// know this event. Gives how many questions changed.
///
/// # Errors
/// The store's.
pub(super) async fn refresh(tx: &mut Tx, (known, book): (&Event, &Book), now: OffsetDateTime) -> Result<usize> {
    let mut changed = 0;
    for request in book.requests.values() {
        let dates: Vec<Date> = request.live().map(|ask| ask.for_on).collect();
        let about = book.loans.iter().filter(|loan| loan.is_live() && loan.request_id == Some(request.id));
        let facts: Vec<_> = about.flat_map(|loan| lines_of(book, loan, &dates)).collect();
        if !facts.is_empty() {
            changed += usize::from(asks::refresh(tx, known, request, &facts, now).await?);
        }
    }
    Ok(changed)
}
