//! Puts letters in the outbox.

use crate::db::Tx;
use crate::error::Result;
use crate::mail::letter::{Calendar, Letter};
use crate::web::link::short_id;
use serde::Serialize;
use serde_json::{Value, json};
use sqlx::SqliteConnection;
use std::sync::Arc;
use time::OffsetDateTime;

/// A letter as its row, to be queued in a write without waiting for it.
#[derive(Debug, Clone)]
pub struct Ready(Arc<str>);

#[derive(Serialize)]
struct Queued<'a> {
    kind: &'static str,
    event_id: Option<i64>,
    person_id: Option<i64>,
    request_id: Option<i64>,
    facts_revision: Option<i64>,
    dedup: &'a str,
    to_name: &'a str,
    to_address: &'a str,
    reply_name: &'a str,
    reply_address: &'a str,
    subject: &'a str,
    text: &'a str,
    html: &'a str,
    calendar: Option<&'a str>,
    method: Option<&'static str>,
    /// The calendars after the first: an array.
    more_calendars: String,
    message_id: String,
    in_reply_to: Option<&'a str>,
    urgent: bool,
    due_at: i64,
    not_after: i64,
    created_at: i64,
}

impl<'a> Queued<'a> {
    fn of(letter: &'a Letter, now: OffsetDateTime) -> Self {
        let host = letter.reply_to.address.rsplit('@').next().unwrap_or("localhost");
        Self {
            kind: letter.kind.as_str(),
            event_id: letter.event_id,
            person_id: letter.person_id,
            request_id: letter.request_id,
            facts_revision: letter.facts_revision,
            dedup: &letter.dedup,
            to_name: &letter.to.name,
            to_address: &letter.to.address,
            reply_name: &letter.reply_to.name,
            reply_address: &letter.reply_to.address,
            subject: &letter.subject,
            text: &letter.body.text,
            html: &letter.body.html,
            calendar: letter.calendars.first().map(|calendar| calendar.text.as_str()),
            method: letter.calendars.first().map(|calendar| calendar.method.as_str()),
            more_calendars: more(letter.calendars.get(1..).unwrap_or_default()),
            // Made once for all tries, so that a second copy is recognized as one.
            message_id: format!("{}.{}.{}@{host}", now.unix_timestamp(), short_id(), short_id()),
            in_reply_to: letter.in_reply_to.as_deref(),
            urgent: letter.urgent,
            due_at: letter.due_at.unix_timestamp(),
            not_after: letter.not_after.unix_timestamp(),
            created_at: now.unix_timestamp(),
        }
    }
}

/// As the column stores them.
fn more(calendars: &[Calendar]) -> String {
    let rows = calendars.iter().map(|calendar| json!({"method": calendar.method.as_str(), "text": calendar.text}));
    Value::Array(rows.collect()).to_string()
}

impl Ready {
    /// # Errors
    /// If it can't be written as JSON.
    pub fn of(letter: &Letter, now: OffsetDateTime) -> Result<Self> {
        Ok(Self(serde_json::to_string(&Queued::of(letter, now))?.into()))
    }

    /// Puts it in the outbox at the commit, with those of other writes, unless a letter
    /// with its key is there already.
    pub fn queue(&self, tx: &mut Tx) {
        tx.later("mail", Arc::clone(&self.0), |connection, rows| Box::pin(keep(connection, rows)));
    }
}

async fn keep(connection: &mut SqliteConnection, rows: String) -> sqlx::Result<()> {
    sqlx::query!(
        "insert into mail (kind, event_id, person_id, request_id, facts_revision, dedup, to_name, to_address, reply_name,
                           reply_address, subject, text, html, calendar, method, more_calendars, message_id,
                           in_reply_to, urgent, due_at, not_after, next_try_at, created_at)
         select v ->> 'kind', v ->> 'event_id', v ->> 'person_id', v ->> 'request_id', v ->> 'facts_revision',
                v ->> 'dedup', v ->> 'to_name', v ->> 'to_address', v ->> 'reply_name', v ->> 'reply_address',
                v ->> 'subject', v ->> 'text', v ->> 'html', v ->> 'calendar', v ->> 'method',
                v ->> 'more_calendars', v ->> 'message_id',
                coalesce(v ->> 'in_reply_to', (select first.message_id from mail first
                                               where first.request_id = v ->> 'request_id' order by first.id limit 1)),
                v ->> 'urgent', v ->> 'due_at', v ->> 'not_after', v ->> 'due_at', v ->> 'created_at'
         from (select value as v, key from json_each(?)) where true order by key
         on conflict (dedup) do nothing",
        rows
    )
    .execute(connection)
    .await
    .map(|_| ())
}

/// Puts a letter in the outbox. None if one with its key is there already.
pub async fn queue(tx: &mut Tx, letter: &Letter, now: OffsetDateTime) -> Result<Option<i64>> {
    let row = Queued::of(letter, now);
    let done = sqlx::query!(
        "insert into mail (kind, event_id, person_id, request_id, facts_revision, dedup, to_name, to_address, reply_name,
                           reply_address, subject, text, html, calendar, method, more_calendars, message_id,
                           in_reply_to, urgent, due_at, not_after, next_try_at, created_at)
         values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?,
                 coalesce(?, (select first.message_id from mail first where first.request_id = ? order by first.id limit 1)),
                 ?, ?, ?, ?, ?)
         on conflict (dedup) do nothing",
        row.kind,
        row.event_id,
        row.person_id,
        row.request_id,
        row.facts_revision,
        row.dedup,
        row.to_name,
        row.to_address,
        row.reply_name,
        row.reply_address,
        row.subject,
        row.text,
        row.html,
        row.calendar,
        row.method,
        row.more_calendars,
        row.message_id,
        row.in_reply_to,
        row.request_id,
        row.urgent,
        row.due_at,
        row.not_after,
        row.due_at,
        row.created_at
    )
    .execute(&mut **tx)
    .await?;
    Ok((done.rows_affected() > 0).then(|| done.last_insert_rowid()))
}
