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
        let snapshot = LoanSnapshot::in_write(tx, change.new.clone(), Arc::clone(change.calendar), change.now).await?;
        refresh(tx, change.old, &snapshot, change.now).await?;
        Ok(())
    })
}

/// Rewrites the lines of the requests about loans. The lenders know `known`, the event as it
/// was. Returns how many requests changed.
pub(super) async fn refresh(tx: &mut Tx, known: &Event, snapshot: &LoanSnapshot, now: OffsetDateTime) -> Result<usize> {
    let mut changed = 0;
    for (request, lines) in lines(snapshot) {
        changed += usize::from(asks::refresh(tx, known, request, &lines, now).await?);
    }
    Ok(changed)
}

/// Puts the lines of an event's requests about loans into this program's words.
pub async fn reword(tx: &mut Tx, event: &Event, calendar: &Arc<Calendar>, now: OffsetDateTime) -> Result<()> {
    let snapshot = LoanSnapshot::in_write(tx, event.clone(), Arc::clone(calendar), now).await?;
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
