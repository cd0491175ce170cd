//! The calendars that apps fetch: a person's and an event's.

use super::journal::entry;
use super::links::first_number;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::events::Event;
use crate::web::link::{LinkKey, Opens, Secret};
use sqlx::SqlitePool;
use time::OffsetDateTime;

/// Adds a person's calendar, unless they have one or it was revoked.
pub(super) async fn add_feed(tx: &mut Tx, person_id: i64, secret: &Secret) -> Result<()> {
    let hash = secret.hash();
    sqlx::query!("insert into feed (person_id, token_hash) values (?, ?) on conflict do nothing", person_id, hash)
        .execute(&mut **tx)
        .await?;
    Ok(())
}

/// Whose calendar a link opens: a person's or an event's.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::asks) enum FeedOf {
    Person(i64),
    Event(i64),
}

pub(in crate::asks) async fn opened_feed(db: &SqlitePool, secret: &Secret) -> Result<Option<FeedOf>> {
    let hash = secret.hash();
    let row =
        sqlx::query!("select person_id, event_id from feed where token_hash = ?", hash).fetch_optional(db).await?;
    Ok(row.and_then(|row| row.person_id.map(FeedOf::Person).or(row.event_id.map(FeedOf::Event))))
}

/// The number a calendar link is made with. None if it was revoked or never made.
pub(in crate::asks) async fn feed_number(db: &SqlitePool, of: FeedOf) -> Result<Option<i64>> {
    let (person, event) = match of {
        FeedOf::Person(id) => (Some(id), None),
        FeedOf::Event(id) => (None, Some(id)),
    };
    let number = sqlx::query_scalar!(
        "select number from feed where person_id is ? and event_id is ? and token_hash is not null",
        person,
        event
    );
    Ok(number.fetch_optional(db).await?)
}

/// Makes a new link for an event's calendar, or revokes it without a key.
pub(in crate::asks) async fn renew_event_feed(
    tx: &mut Tx,
    actor: Actor,
    event: &Event,
    key: Option<&LinkKey>,
    now: OffsetDateTime,
) -> Result<()> {
    let old = sqlx::query_scalar!("select number from feed where event_id = ?", event.id).fetch_optional(&mut **tx);
    let number = (old.await?.unwrap_or(0) + 1).max(first_number(tx).await?);
    let hash = key.map(|key| key.secret(Opens::EventCalendar, event.id, number).hash());
    sqlx::query!(
        "insert into feed (event_id, number, token_hash) values (?, ?, ?)
         on conflict (event_id) do update set number = excluded.number, token_hash = excluded.token_hash",
        event.id,
        number,
        hash
    )
    .execute(&mut **tx)
    .await?;
    let verb = if key.is_some() { "made a calendar link for" } else { "removed the calendar link for" };
    let entry = entry(actor, verb, event.id, event.id, &event.details.name);
    record(tx, now, Entry { subject: "event", ..entry });
    Ok(())
}
