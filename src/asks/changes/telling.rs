//! Telling people what changed: everyone after the event changed, or those chosen.

use super::before::{Before, Count};
use super::letter;
use super::outdated::{Outdated, outdated};
use crate::asks::noted::{self, By};
use crate::asks::{Kind, Known, Request, Sending, Statement, deputy, letters, store};
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::events::Event;
use crate::mail::{self, Letter};
use crate::people::{self, Person};
use time::OffsetDateTime;

/// After a change, in the same write: emails everyone with out-of-date details once, with
/// a letter made from their own answers, and asks them about their missing dates if
/// `again`.
pub async fn tell_changes(
    tx: &mut Tx,
    (before, new): (&Before, &Event),
    again: bool,
    closes_at: impl Fn(Kind) -> OffsetDateTime + Send,
    sending: Sending<'_>,
) -> Result<Count> {
    let Sending { actor, key, now, .. } = sending;
    let mut count = Count::default();
    let old = &before.event.details;
    let moved = (old.burn_on, old.rain_on) != (new.details.burn_on, new.details.rain_on);
    for known in &before.known {
        let id = known.request.id;
        if again && known.request.is_willing() {
            let closes_at = closes_at(known.request.kind);
            count.asked += usize::from(store::ask_again(tx, actor, new, id, closes_at, key, now).await?);
        }
        let Some(request) = store::of_request_in(tx, id).await? else { continue };
        let mut known = Known { request, ..known.clone() };
        let request = &mut known.request;
        tell_deputies(tx, (before, new), request, sending).await?;
        let truth = Statement::of(new, request);
        if !known.statement.is_outdated(&truth) {
            continue;
        }
        // Their dates changed, and so did the time to answer.
        if moved && request.live().next().is_some() {
            request.closes_at = closes_at(request.kind);
            store::set_closing(tx, id, request.closes_at).await?;
            store::keep_link(tx, request, new.details.burn_on, key, now).await?;
        }
        let is_told = tell(tx, &known, new, sending).await?;
        count.written += usize::from(is_told);
        count.to_call += usize::from(!is_told);
    }
    Ok(count)
}

/// Tells the deputies about the change, too.
async fn tell_deputies(
    tx: &mut Tx,
    (before, new): (&Before, &Event),
    request: &Request,
    sending: Sending<'_>,
) -> Result<()> {
    if !request.kind.takes_deputy() {
        return Ok(());
    }
    let Some(person) = people::find(tx, request.person_id).await? else { return Ok(()) };
    let events = (&before.event, new);
    for letter in deputy::letters_after_change(events, request, sending.to(&person), sending.now)? {
        deputy::queue(tx, &letter, sending.now).await?;
    }
    Ok(())
}

/// Emails one person what is true. False if email doesn't reach them, which leaves them
/// on the list of people to call.
async fn tell(tx: &mut Tx, known: &Known, event: &Event, sending: Sending<'_>) -> Result<bool> {
    // Someone may already be on the way.
    write_to(tx, known, (event, true), sending).await
}

/// The same. It goes out at night only if urgent.
pub(in crate::asks) async fn write_to(
    tx: &mut Tx,
    known: &Known,
    (event, urgent): (&Event, bool),
    sending: Sending<'_>,
) -> Result<bool> {
    let Sending { actor, sender, now, .. } = sending;
    let request = &known.request;
    // What we assume they know must outlast an email that fails.
    if known.is_assumed {
        noted::note_statement(tx, request.id, By::Assumed, &known.statement, (Actor::System, now))?;
    }
    let Some(person) = people::find(tx, request.person_id).await?.filter(Person::has_mail) else { return Ok(false) };
    let truth = Statement::of(event, request);
    let is_new = known.statement == Statement::default() && !request.is_withdrawn;
    // Someone who never got the question is asked, not told what changed.
    let letter = if is_new {
        letters::asking(event, request, &person, sender, now)?
    } else {
        let letter = letter::changed(event, request, &known.statement, sending.to(&person), now)?;
        Letter { urgent: urgent && letter.urgent, ..letter }
    };
    mail::supersede(tx, request.id, &letter.dedup, now).await?;
    mail::queue(tx, &letter, now).await?;
    noted::note_statement(tx, request.id, By::Mail(&letter.dedup), &truth, (actor, now))?;
    Ok(true)
}

/// Emails those of the chosen who need an update, and counts them.
pub(in crate::asks) async fn tell_chosen(
    tx: &mut Tx,
    event: &Event,
    chosen: &[i64],
    sending: Sending<'_>,
) -> Result<Count> {
    let requests = store::of_event(tx, event.id).await?;
    let mut count = Count::default();
    for Outdated { request, .. } in outdated(tx, event, &requests).await? {
        if chosen.contains(&request.id) {
            // Nothing, if every email about it is still waiting: those get canceled.
            let statement = noted::statement_of(tx, request.id).await?.unwrap_or_default();
            let known = Known { request, statement, is_assumed: false };
            let is_told = tell(tx, &known, event, sending).await?;
            count.written += usize::from(is_told);
            count.to_call += usize::from(!is_told);
        }
    }
    Ok(count)
}

/// Notes that someone was told by phone what is true now. Any email waiting for them is
/// rewritten.
pub(in crate::asks) async fn told_by_voice(
    tx: &mut Tx,
    (event, request): (&Event, Request),
    sending: Sending<'_>,
) -> Result<()> {
    let Sending { actor, now, .. } = sending;
    let known = noted::statement_of(tx, request.id).await?.unwrap_or_default();
    noted::note_told(tx, actor, &request, now);
    // A call doesn't change their calendar. The next email does.
    let heard = Statement { entries: known.entries, by_voice: true, ..Statement::of(event, &request) };
    noted::note_statement(tx, request.id, By::Voice, &heard, (actor, now))?;
    if mail::waits(tx, request.id).await? {
        let known = Known { request, statement: heard, is_assumed: false };
        write_to(tx, &known, (event, false), sending).await?;
    }
    Ok(())
}
