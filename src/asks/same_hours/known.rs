//! What someone knows about a question that is closed or opened again without an email.

use crate::asks::noted::{self, By};
use crate::asks::{Request, Statement, store};
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::events::Event;
use crate::mail;
use time::OffsetDateTime;

/// Did the question reach them, or did they answer it?
pub(super) async fn has_heard(tx: &mut Tx, request: &Request) -> Result<bool> {
    Ok(!mail::was_only_waiting(tx, request.id).await? || request.asks.iter().any(|ask| ask.last().is_some()))
}

/// Notes that nothing needs to be told about a question as it is now, except for lines under
/// it that are no longer as someone knows them.
pub(super) async fn note_as_known(
    tx: &mut Tx,
    actor: Actor,
    (event, id): (&Event, i64),
    known: Statement,
    now: OffsetDateTime,
) -> Result<()> {
    let Some(request) = store::of_request_in(tx, id).await? else { return Ok(()) };
    let truth = Statement::of(event, &request);
    let facts = if known.facts.is_empty() { truth.facts } else { known.facts };
    let known = Statement { facts, by_voice: known.by_voice, ..truth };
    noted::note_statement(tx, id, By::Assumed, &known, (actor, now))
}
