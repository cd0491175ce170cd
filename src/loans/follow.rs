//! Loans follow the event: the requests to lenders always state the current dates.

use super::asking::lines_of;
use super::snapshot::LoanSnapshot;
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
        let snapshot = LoanSnapshot::read(tx, change.new.clone(), known, change.now).await?;
        refresh(tx, (change.old, &snapshot), change.now).await?;
        Ok(())
    })
}

/// Rewrites the lines of the requests about loans. The lenders know `known`, the event as it
/// was. Returns how many requests changed.
///
/// # Errors
/// The store's.
pub(super) async fn refresh(
    tx: &mut Tx,
    (known, snapshot): (&Event, &LoanSnapshot),
    now: OffsetDateTime,
) -> Result<usize> {
    let mut changed = 0;
    for (request, lines) in lines(snapshot) {
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
    let snapshot = LoanSnapshot::read(tx, event.clone(), (events, Arc::clone(calendar)), now).await?;
    for (request, lines) in lines(&snapshot) {
        asks::reword(tx, event, request, &lines, now).await?;
    }
    Ok(())
}

/// The requests about loans, with the lines of each.
fn lines(snapshot: &LoanSnapshot) -> Vec<(&Request, Vec<(String, String)>)> {
    let mut all = Vec::new();
    for request in snapshot.requests.values() {
        let dates: Vec<Date> = request.live().map(|ask| ask.for_on).collect();
        let about = snapshot.loans.iter().filter(|loan| loan.is_live() && loan.request_id == Some(request.id));
        let lines: Vec<_> = about.flat_map(|loan| lines_of(snapshot, loan, &dates)).collect();
        if !lines.is_empty() {
            all.push((request, lines));
        }
    }
    all
}
