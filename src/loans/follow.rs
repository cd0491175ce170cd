//! Loans follow the event: the requests to lenders always state the current dates.

use super::asking::lines_of;
use super::book::Book;
use crate::asks::{self, Request};
use crate::calc::calendar::Calendar;
use crate::countdown::Following;
use crate::db::Tx;
use crate::error::Result;
use crate::events::Event;
use futures_util::future::BoxFuture;
use std::sync::Arc;
use time::{Date, OffsetDateTime};

/// Updates the loans when the event changes.
#[must_use]
pub fn follow<'a>(tx: &'a mut Tx, change: Following<'a>) -> BoxFuture<'a, Result<()>> {
    Box::pin(async move {
        let known = (change.events, Arc::clone(change.calendar));
        let book = Book::read(tx, change.new.clone(), known, change.now).await?;
        refresh(tx, (change.old, &book), change.now).await?;
        Ok(())
    })
}

/// Rewrites the lines of the requests about loans. The lenders know `known`, the event as it
/// was. Returns how many requests changed.
///
/// # Errors
/// The store's.
pub(super) async fn refresh(tx: &mut Tx, (known, book): (&Event, &Book), now: OffsetDateTime) -> Result<usize> {
    let mut changed = 0;
    for (request, lines) in lines(book) {
        changed += usize::from(asks::refresh(tx, known, request, &lines, now).await?);
    }
    Ok(changed)
}

/// Puts the lines of an event's requests about loans into this program's words.
///
/// # Errors
/// The store's.
pub async fn reword(
    tx: &mut Tx,
    event: &Event,
    (events, calendar): (&[Event], &Arc<Calendar>),
    now: OffsetDateTime,
) -> Result<()> {
    let book = Book::read(tx, event.clone(), (events, Arc::clone(calendar)), now).await?;
    for (request, lines) in lines(&book) {
        asks::reword(tx, event, request, &lines, now).await?;
    }
    Ok(())
}

/// The requests about loans, with the lines of each.
fn lines(book: &Book) -> Vec<(&Request, Vec<(String, String)>)> {
    let mut all = Vec::new();
    for request in book.requests.values() {
        let dates: Vec<Date> = request.live().map(|ask| ask.for_on).collect();
        let about = book.loans.iter().filter(|loan| loan.is_live() && loan.request_id == Some(request.id));
        let lines: Vec<_> = about.flat_map(|loan| lines_of(book, loan, &dates)).collect();
        if !lines.is_empty() {
            all.push((request, lines));
        }
    }
    all
}
