//! An answer and everything that follows from it: whoever gave it knows it and gets it
//! in writing.

use super::noted::{self, By};
use super::sending::Parties;
use super::statement::{Known, Statement};
use super::store;
use super::{Answer, Ask, Given, Request, Sender, Sending, changes, deputy, letters};
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::events::{self, Event};
use crate::mail;
use crate::people::{self, Person};
use crate::web::link::LinkKey;
use time::OffsetDateTime;

/// Whether to confirm an answer in writing.
#[derive(Clone, Copy)]
pub enum Confirm<'a> {
    /// By email from this sender, if email reaches them.
    InWriting(&'a Sender, &'a LinkKey),
    /// No, they told us in person.
    Not,
}

/// Adds an answer to a question that was just read. False if the question or its date is
/// gone by now. The caller checks whether it was still open.
pub async fn answer(
    tx: &mut Tx,
    actor: Actor,
    about: (&Event, &Request),
    (ask_id, given): (i64, &Given),
    confirm: Confirm<'_>,
    now: OffsetDateTime,
) -> Result<bool> {
    answer_all(tx, actor, about, &[(ask_id, given.clone())], confirm, now).await
}

/// The same for several dates at once, which one letter confirms. False if all of them are
/// gone by now.
pub(super) async fn answer_all(
    tx: &mut Tx,
    actor: Actor,
    (event, request): (&Event, &Request),
    given: &[(i64, Given)],
    confirm: Confirm<'_>,
    now: OffsetDateTime,
) -> Result<bool> {
    let noted = noted::statement_of(tx, request.id).await?;
    let known = Known::of(event, request.clone(), noted).statement;
    let (mut new, mut is_saved) = (request.clone(), false);
    let mut after_it = Statement { by_voice: false, ..known.clone() };
    for (ask_id, given) in given {
        if !store::add_answer(tx, actor, (&new, *ask_id), given, now).await? {
            continue;
        }
        is_saved = true;
        new = new.with(*ask_id, given, now);
        let said = new.asks.iter().find(|ask| ask.id == *ask_id).and_then(Ask::stands).map(Answer::stated);
        after_it = after_it.with(*ask_id, &said.unwrap_or_default());
    }
    if !is_saved {
        return Ok(false);
    }
    let reached = match confirm {
        Confirm::InWriting(sender, key) => {
            let person = people::find(tx, request.person_id).await?.filter(Person::has_mail);
            person.map(|person| (person, sender, key))
        }
        Confirm::Not => None,
    };
    let key = if let Confirm::InWriting(_, key) = confirm { Some(key) } else { None };
    if let Some(key) = key {
        deputy::tell(tx, event, request, key, now).await?;
    }
    let Some((person, sender, key)) = reached else {
        let after_it = Statement { by_voice: true, ..after_it };
        noted::note_statement(tx, request.id, By::Voice, &after_it, (actor, now))?;
        return Ok(true);
    };
    let letter = letters::confirming(event, &new, (&known, None), Parties { sender, person: &person, key }, now)?;
    mail::queue(tx, &letter, now).await?;
    noted::note_statement(tx, request.id, By::Page, &after_it, (actor, now))?;
    noted::note_statement(tx, request.id, By::Mail(&letter.dedup), &Statement::of(event, &new), (actor, now))?;
    Ok(true)
}

/// Notes that the email with this key, written by whoever asks, carries the question.
pub async fn note_sent(
    tx: &mut Tx,
    actor: Actor,
    (event, request_id): (&Event, i64),
    dedup: &str,
    now: OffsetDateTime,
) -> Result<()> {
    let Some(request) = store::of_request_in(tx, request_id).await? else { return Ok(()) };
    noted::note_statement(tx, request.id, By::Mail(dedup), &Statement::of(event, &request), (actor, now))
}

/// Emails a question, for all its dates. Someone who already knows it is told what is
/// new. False if email doesn't reach them.
pub async fn send_question(tx: &mut Tx, (event, request_id): (&Event, i64), sending: Sending<'_>) -> Result<bool> {
    let Some(request) = store::of_request_in(tx, request_id).await? else { return Ok(false) };
    let statement = noted::statement_of(tx, request_id).await?.unwrap_or_default();
    let known = Known { request, statement, is_assumed: false };
    changes::write_to(tx, &known, (event, false), sending).await
}

/// Withdraws a question and tells anyone who may be counting on it. False if it was
/// withdrawn before.
pub async fn take_back(tx: &mut Tx, (event_id, request_id): (i64, i64), sending: Sending<'_>) -> Result<bool> {
    let Sending { actor, key, now, .. } = sending;
    // Someone may have answered since a page was read, and is told then.
    let Some(event) = &events::find_in(tx, event_id).await? else { return Ok(false) };
    let Some(request) = &store::of_request_in(tx, request_id).await? else { return Ok(false) };
    let noted = noted::statement_of(tx, request.id).await?;
    let Known { statement: known, is_assumed, .. } = Known::of(event, request.clone(), noted);
    if !store::withdraw(tx, actor, request, now).await? {
        return Ok(false);
    }
    if is_assumed {
        noted::note_statement(tx, request.id, By::Assumed, &known, (Actor::System, now))?;
    }
    deputy::tell(tx, event, request, key, now).await?;
    let Some(new) = store::of_request_in(tx, request.id).await? else { return Ok(true) };
    let truth = Statement::of(event, &new);
    let has_heard =
        !mail::was_only_waiting(tx, request.id).await? || request.asks.iter().any(|ask| ask.last().is_some());
    if !has_heard || !known.is_outdated(&truth) {
        // A question that never went out is withdrawn without telling anyone.
        noted::note_statement(tx, request.id, By::Assumed, &truth, (actor, now))?;
        return Ok(true);
    }
    if let Some(person) = people::find(tx, request.person_id).await?.filter(Person::has_mail) {
        let letter = letters::withdrawing(event, &new, &known, sending.to(&person), now)?;
        mail::queue(tx, &letter, now).await?;
        noted::note_statement(tx, request.id, By::Mail(&letter.dedup), &truth, (actor, now))?;
    }
    Ok(true)
}
