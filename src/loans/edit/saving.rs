//! Saving what was typed, with a lender who may be new.

use super::ready::Ready;
use crate::asks::{self, Unlisted};
use crate::calc::calendar::Calendar;
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::{Error, Result};
use crate::events;
use crate::loans::details::Details;
use crate::loans::loan::{Loan, LoanName};
use crate::loans::snapshot::LoanSnapshot;
use crate::loans::{follow, store};
use crate::people::choosing::{self, Line, Settled};
use crate::state::App;
use std::sync::Arc;
use time::OffsetDateTime;

/// How adding a loan went.
pub(super) enum Added {
    Done {
        loan: i64,
        said: String,
    },
    /// The lender may be one of these.
    Unsure(Vec<Line>),
}

/// Adds a loan, with the reply that it comes from.
pub(super) async fn add(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    ready: Ready,
    reply: Option<Unlisted>,
    now: OffsetDateTime,
) -> Result<Added> {
    let (lender_id, said) = match choosing::settle(tx, actor, &ready.lender, now).await? {
        Settled::Person { id, said } => (id, said),
        Settled::Unsure(known) => return Ok(Added::Unsure(known)),
    };
    let details = Details { lender_id, ..ready.details };
    let id = store::add(tx, actor, event_id, &details, now).await?;
    // It must be from this lender.
    let reply = reply.filter(|one| one.person_id == lender_id);
    if let Some(reply) = &reply {
        let name = LoanName { event_id, id, what: &details.what };
        store::asked(tx, actor, &name, reply.request_id, now).await?;
    }
    let next = if reply.is_some() { "Loan added, with their reply." } else { "Loan added. Next, ask the lender." };
    Ok(Added::Done { loan: id, said: format!("{next}{said}") })
}

/// How changing a loan went.
pub(super) enum Saved {
    Done(String),
    /// The lender may be one of these.
    Unsure(Vec<Line>),
    /// Someone else changed it, or it is gone.
    Stale,
}

/// Changes a loan that still has this version.
pub(super) async fn change(
    app: &App,
    actor: Actor,
    (snapshot, loan): (&LoanSnapshot, &Loan),
    ready: Ready,
    version: i64,
) -> Result<Saved> {
    let (now, id, calendar) = (app.clock.now(), (loan.event_id, loan.id), Arc::clone(&snapshot.calendar));
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let stands = store::find(tx, id.0, id.1).await?;
            let Some(old) = stands.filter(|stands| stands.version == version) else { return Ok(Saved::Stale) };
            save(tx, actor, &old, ready, calendar, now).await
        })
    });
    write.await
}

async fn save(
    tx: &mut Tx,
    actor: Actor,
    old: &Loan,
    ready: Ready,
    calendar: Arc<Calendar>,
    now: OffsetDateTime,
) -> Result<Saved> {
    let (lender_id, said) = match choosing::settle(tx, actor, &ready.lender, now).await? {
        Settled::Person { id, said } => (id, said),
        Settled::Unsure(known) => return Ok(Saved::Unsure(known)),
    };
    store::save(tx, actor, old, &Details { lender_id, ..ready.details }, now).await?;
    let mut outdated = 0;
    if let Some(request_id) = old.request_id {
        let event = events::find_in(tx, old.event_id).await?.ok_or(Error::NotFound)?;
        let snapshot = LoanSnapshot::of_request(tx, event, calendar, request_id, now).await?;
        outdated = follow::refresh(tx, &snapshot.event, &snapshot, now).await?;
    }
    Ok(Saved::Done(format!("Saved.{said}{}", asks::tell_next(outdated))))
}
