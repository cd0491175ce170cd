//! Items that other events borrow too.

use super::availability::windows;
use super::clash::Window;
use super::loan::Loan;
use super::store;
use crate::asks::{self, Request};
use crate::error::Result;
use crate::events::{self, Event};
use crate::state::App;
use std::collections::HashMap;
use time::Date;

/// The same item in another event.
#[derive(Debug)]
pub(super) struct Elsewhere {
    /// The loan of this event.
    pub loan_id: i64,
    pub event: String,
    pub href: String,
    /// When the other event needs it.
    pub windows: Vec<Window>,
}

/// Where other events that are still ahead borrow the same items.
pub(super) async fn elsewhere(app: &App, loans: &[Loan], event_id: i64, today: Date) -> Result<Vec<Elsewhere>> {
    let mut others = store::alike(&mut *app.db.read().acquire().await?, event_id).await?;
    others.retain(|theirs| theirs.is_live() && loans.iter().any(|ours| is_same(ours, theirs)));
    if others.is_empty() {
        return Ok(Vec::new());
    }
    let mut events = events::list(app.db.read()).await?;
    events.retain(|event| last_day(event) >= today && others.iter().any(|theirs| theirs.event_id == event.id));
    let requests = requests(app, &events, &others).await?;
    let mut all = Vec::new();
    for theirs in &others {
        let Some(event) = events.iter().find(|event| event.id == theirs.event_id) else { continue };
        let windows = windows(event, theirs, theirs.request_id.and_then(|id| requests.get(&id)));
        all.extend(loans.iter().filter(|ours| is_same(ours, theirs)).map(|ours| Elsewhere {
            loan_id: ours.id,
            event: event.details.name.clone(),
            href: theirs.href(),
            windows: windows.clone(),
        }));
    }
    Ok(all)
}

/// The requests of the events that asked for some of these, by number.
async fn requests(app: &App, events: &[Event], loans: &[Loan]) -> Result<HashMap<i64, Request>> {
    let mut all = HashMap::new();
    let mut db = app.db.read().acquire().await?;
    for event in events {
        if loans.iter().any(|loan| loan.event_id == event.id && loan.request_id.is_some()) {
            all.extend(asks::of_event(&mut db, event.id).await?.into_iter().map(|request| (request.id, request)));
        }
    }
    Ok(all)
}

fn last_day(event: &Event) -> Date {
    event.details.rain_on.unwrap_or(event.details.burn_on).max(event.details.burn_on)
}

/// Are they the same item? Either the lender and the serial number are the same, or
/// someone said so on the loan.
fn is_same(one: &Loan, other: &Loan) -> bool {
    let (a, b) = (&one.details, &other.details);
    let serial = |text: &str| text.trim().to_lowercase();
    let by_serial = !a.serial.is_empty() && a.lender_id == b.lender_id && serial(&a.serial) == serial(&b.serial);
    by_serial
        || a.same_as == Some(other.id)
        || b.same_as == Some(one.id)
        || (a.same_as.is_some() && a.same_as == b.same_as)
}
