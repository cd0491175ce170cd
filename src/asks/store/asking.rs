//! Asking someone, and asking again about other dates.

use super::feeds::add_feed;
use super::journal::entry;
use super::links::{add_link, first_number};
use super::reading::of_request_in;
use crate::asks::{NewQuestion, Request};
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::events::Event;
use crate::web::link::{LinkKey, Opens};
use crate::web::words::Reader;
use serde_json::json;
use time::{Date, OffsetDateTime};

/// Asks someone, and returns the question's number.
pub async fn ask(
    tx: &mut Tx,
    by: i64,
    event: &Event,
    person_id: i64,
    question: &NewQuestion,
    key: &LinkKey,
    now: OffsetDateTime,
) -> Result<i64> {
    let (kind, facts) = (question.kind.as_str(), serde_json::to_string(&question.facts)?);
    let (closes_at, at) = (question.closes_at.unix_timestamp(), now.unix_timestamp());
    let number = first_number(tx).await?;
    let id = sqlx::query!(
        "insert into request (event_id, person_id, kind, question, facts, words, closes_at, asked_at, asked_by,
                              link_number, version)
         values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        event.id,
        person_id,
        kind,
        question.question,
        facts,
        question.words,
        closes_at,
        at,
        by,
        number,
        number
    )
    .execute(&mut **tx)
    .await?
    .last_insert_rowid();
    for on in &question.dates {
        add_date(tx, id, *on, event.date_revision).await?;
    }
    let last = question.dates.iter().max().copied().unwrap_or(event.details.burn_on);
    add_link(tx, id, &key.secret(Opens::Question, id, number), last, now).await?;
    add_feed(tx, person_id, &key.secret(Opens::Calendar, person_id, 1)).await?;
    let dates: Vec<String> = question.dates.iter().map(|on| Reader::App.day(*on)).collect();
    let after = Some(json!({"for": dates.join(", "), "kind": question.kind.label()}));
    record(tx, now, Entry { after, ..entry(Actor::Account(by), "asked", event.id, id, &question.question) });
    Ok(id)
}

async fn add_date(tx: &mut Tx, request_id: i64, on: Date, date_revision: i64) -> Result<()> {
    sqlx::query!("insert into ask (request_id, for_on, date_revision) values (?, ?, ?)", request_id, on, date_revision)
        .execute(&mut **tx)
        .await?;
    Ok(())
}

/// Asks the same question again for the event's current dates. False if it was withdrawn
/// or already asks about all of them.
pub async fn ask_again(
    tx: &mut Tx,
    actor: Actor,
    event: &Event,
    id: i64,
    closes_at: OffsetDateTime,
    key: &LinkKey,
    now: OffsetDateTime,
) -> Result<bool> {
    let Some(request) = of_request_in(tx, id).await? else { return Ok(false) };
    let dates = request.lacks(event.details.burn_on, event.details.rain_on);
    ask_for(tx, actor, event, (&request, &dates), closes_at, key, now).await
}

/// Asks the same question for those dates it doesn't ask about yet. False if it was
/// withdrawn or asks about all of them.
pub async fn ask_for(
    tx: &mut Tx,
    actor: Actor,
    event: &Event,
    (request, dates): (&Request, &[Date]),
    closes_at: OffsetDateTime,
    key: &LinkKey,
    now: OffsetDateTime,
) -> Result<bool> {
    let id = request.id;
    let mut dates = dates.to_vec();
    dates.retain(|on| request.live().all(|ask| ask.for_on != *on));
    if request.is_withdrawn || dates.is_empty() {
        return Ok(false);
    }
    for on in &dates {
        add_date(tx, id, *on, event.date_revision).await?;
    }
    let closes = closes_at.unix_timestamp();
    sqlx::query!("update request set closes_at = ?, version = version + 1 where id = ?", closes, id)
        .execute(&mut **tx)
        .await?;
    let last = dates.iter().max().copied().unwrap_or(event.details.burn_on);
    add_link(tx, id, &key.secret(Opens::Question, id, request.link_number), last, now).await?;
    let told: Vec<String> = dates.iter().map(|on| Reader::App.day(*on)).collect();
    let after = Some(json!({"for": told.join(", ")}));
    record(tx, now, Entry { after, ..entry(actor, "asked again", event.id, id, &request.question) });
    Ok(true)
}
