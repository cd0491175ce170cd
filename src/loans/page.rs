//! A page about a loan: the event and the loan it is about, and what surrounds it.

use super::loan::Loan;
use super::snapshot::LoanSnapshot;
use crate::accounts::Visit;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::state::App;
use crate::web::page::Page;
use time::OffsetDateTime;

/// An event's snapshot, and one loan in it.
pub(super) async fn found(app: &App, event_id: i64, id: i64, now: OffsetDateTime) -> Result<(LoanSnapshot, Loan)> {
    let snapshot = LoanSnapshot::of(app, event_id, now).await?;
    let loan = snapshot.find(id).cloned().ok_or(Error::NotFound)?;
    Ok((snapshot, loan))
}

/// The page around a heading.
pub(super) async fn page(app: &App, visit: &Visit, event: &Event, title: &str) -> Result<Page> {
    Ok(events::page(app, visit, Some(event), app.clock.now()).await?.titled(title))
}
