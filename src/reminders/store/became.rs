//! What became of reminders.

use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::events::Event;
use sqlx::SqliteConnection;
use std::collections::HashMap;
use time::{Date, OffsetDateTime};

/// What happened to a reminder.
pub(in crate::reminders) struct Became {
    pub key: String,
    pub became: String,
    pub at: OffsetDateTime,
    pub title: String,
    pub person_id: i64,
}

/// A reminder that something becomes of.
pub(in crate::reminders) struct Settled<'a> {
    pub key: &'a str,
    pub event_id: i64,
    pub person_id: i64,
    pub title: &'a str,
}

/// What happened to an event's reminders.
pub(in crate::reminders) async fn became(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Became>> {
    let rows = sqlx::query!(
        "select key, person_id, became, at, title from reminder where event_id = ? order by at desc",
        event_id
    );
    rows.fetch_all(db)
        .await?
        .into_iter()
        .map(|row| {
            let at = OffsetDateTime::from_unix_timestamp(row.at)?;
            Ok(Became { key: row.key, became: row.became, at, title: row.title, person_id: row.person_id })
        })
        .collect()
}

/// When each person last got a reminder.
pub(in crate::reminders) async fn last_said(db: &mut SqliteConnection) -> Result<HashMap<i64, OffsetDateTime>> {
    let rows = sqlx::query!(
        r#"select person_id as "person_id!", max(at) as "at!: i64" from reminder where became = 'said'
           group by person_id"#
    );
    rows.fetch_all(db)
        .await?
        .into_iter()
        .map(|row| Ok((row.person_id, OffsetDateTime::from_unix_timestamp(row.at)?)))
        .collect()
}

/// Saves what happened to a reminder. False if it was settled before.
pub(in crate::reminders) async fn settle(
    tx: &mut Tx,
    reminder: &Settled<'_>,
    became: &str,
    now: OffsetDateTime,
) -> Result<bool> {
    let at = now.unix_timestamp();
    let done = sqlx::query!(
        "insert into reminder (key, event_id, person_id, became, at, title) values (?, ?, ?, ?, ?, ?)
         on conflict (key) do nothing",
        reminder.key,
        reminder.event_id,
        reminder.person_id,
        became,
        at,
        reminder.title
    )
    .execute(&mut **tx)
    .await?;
    Ok(done.rows_affected() > 0)
}

/// Reminders whose email was canceled before it left are still to come.
pub(in crate::reminders) async fn unsay_unsent(tx: &mut Tx, event_id: i64) -> Result<()> {
    sqlx::query!(
        "delete from reminder where event_id = ? and became = 'said' and exists (
             select 1 from mail m
             where m.kind = 'reminder' and m.person_id = reminder.person_id and m.event_id = reminder.event_id
               and m.created_at = reminder.at and m.state = 'cancelled' and m.data_at is null)",
        event_id
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// Keeps a reminder from going out.
pub(in crate::reminders) async fn skip(
    tx: &mut Tx,
    actor: Actor,
    reminder: &Settled<'_>,
    now: OffsetDateTime,
) -> Result<bool> {
    let done = settle(tx, reminder, "skipped", now).await?;
    if done {
        let entry = Entry {
            actor,
            verb: "canceled",
            subject: "reminder",
            subject_id: None,
            event_id: Some(reminder.event_id),
            title: reminder.title,
            before: None,
            after: None,
        };
        record(tx, now, entry);
    }
    Ok(done)
}

/// The day of an instant, for the limits.
pub(in crate::reminders) fn day(event: &Event, at: OffsetDateTime) -> Date {
    event.details.zone.wall(at).date()
}
