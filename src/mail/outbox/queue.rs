//! Puts letters in the outbox, and takes them out again before they are sent.

use crate::db::Tx;
use crate::error::Result;
use crate::mail::letter::{Calendar, Letter};
use crate::web::link::{Secret, short_id};
use serde::Serialize;
use serde_json::{Value, json};
use sqlx::{SqliteConnection, SqlitePool};
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
///
/// # Errors
/// The store's.
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

/// Was everything written about a question stopped before it went out? False if nothing
/// was written.
///
/// # Errors
/// The store's.
pub async fn was_only_waiting(tx: &mut Tx, request_id: i64) -> Result<bool> {
    let row = sqlx::query!(
        r#"select count(*) as "all!: i64",
                  coalesce(sum(state in ('sent', 'uncertain', 'sending') or data_at is not null or unsure > 0), 0) as "gone!: i64"
           from mail where request_id = ?"#,
        request_id
    );
    let row = row.fetch_one(&mut **tx).await?;
    Ok(row.all > 0 && row.gone == 0)
}

/// Cancels the waiting letters that ask a question or report on it: the letter with this
/// key says it all.
///
/// # Errors
/// The store's.
pub async fn supersede(tx: &mut Tx, request_id: i64, by: &str, now: OffsetDateTime) -> Result<()> {
    let at = now.unix_timestamp();
    sqlx::query!(
        "update mail set state = 'cancelled', words = 'A newer message says all of it.', settled_at = ?
         where request_id = ? and state = 'waiting' and kind in ('ask', 'notice') and dedup <> ?",
        at,
        request_id,
        by
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// Is a letter waiting that asks a question or reports on it?
///
/// # Errors
/// The store's.
pub async fn waits(tx: &mut Tx, request_id: i64) -> Result<bool> {
    let waits = sqlx::query_scalar!(
        r#"select count(*) as "waits!" from mail
           where request_id = ? and state = 'waiting' and kind in ('ask', 'notice')"#,
        request_id
    );
    Ok(waits.fetch_one(&mut **tx).await? > 0)
}

/// Cancels the waiting letters about a question.
///
/// # Errors
/// The store's.
pub async fn cancel_for_request(tx: &mut Tx, request_id: i64, why: &str, now: OffsetDateTime) -> Result<u64> {
    let at = now.unix_timestamp();
    let done = sqlx::query!(
        "update mail set state = 'cancelled', words = ?, settled_at = ? where request_id = ? and state = 'waiting'",
        why,
        at,
        request_id
    )
    .execute(&mut **tx)
    .await?;
    Ok(done.rows_affected())
}

/// Cancels those of these letters that are waiting.
///
/// # Errors
/// The store's.
pub async fn cancel_these(tx: &mut Tx, ids: &[i64], why: &str, now: OffsetDateTime) -> Result<u64> {
    let (at, ids) = (now.unix_timestamp(), serde_json::json!(ids).to_string());
    let done = sqlx::query!(
        "update mail set state = 'cancelled', words = ?, settled_at = ?
         where id in (select value from json_each(?)) and state = 'waiting'",
        why,
        at,
        ids
    )
    .execute(&mut **tx)
    .await?;
    Ok(done.rows_affected())
}

/// Cancels the waiting letters whose key begins like this.
///
/// # Errors
/// The store's.
pub async fn cancel_by_key(tx: &mut Tx, start: &str, why: &str, now: OffsetDateTime) -> Result<u64> {
    let at = now.unix_timestamp();
    let done = sqlx::query!(
        "update mail set state = 'cancelled', words = ?, settled_at = ?
         where state = 'waiting' and substr(dedup, 1, length(?)) = ?",
        why,
        at,
        start,
        start
    )
    .execute(&mut **tx)
    .await?;
    Ok(done.rows_affected())
}

/// Has one of the letters whose key begins like this gone out, or may it have?
///
/// # Errors
/// The store's.
pub async fn may_have_gone(tx: &mut Tx, start: &str) -> Result<bool> {
    let gone = sqlx::query_scalar!(
        r#"select count(*) as "gone!" from mail
           where state in ('sending', 'sent', 'uncertain') and substr(dedup, 1, length(?)) = ?"#,
        start,
        start
    );
    Ok(gone.fetch_one(&mut **tx).await? > 0)
}

/// Erases the letters whose key begins like this, to someone who isn't in the directory,
/// and cancels those that are waiting.
///
/// # Errors
/// The store's.
pub async fn forget_by_key(tx: &mut Tx, start: &str, now: OffsetDateTime) -> Result<()> {
    cancel_by_key(tx, start, "", now).await?;
    sqlx::query!(
        "update mail set to_name = '', to_address = 'forgotten@invalid', subject = 'Forgotten', text = '', html = '',
                         calendar = null, method = null, more_calendars = '[]', words = ''
         where substr(dedup, 1, length(?)) = ?",
        start,
        start
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// Cancels the waiting letters about an event that say what was true before this
/// revision of its facts. Those being sent are stopped by the check right before their
/// text is sent.
///
/// # Errors
/// The store's.
pub async fn cancel_for_event(
    tx: &mut Tx,
    event_id: i64,
    before_revision: i64,
    why: &str,
    now: OffsetDateTime,
) -> Result<u64> {
    let at = now.unix_timestamp();
    let done = sqlx::query!(
        "update mail set state = 'cancelled', words = ?, settled_at = ?
         where event_id = ? and facts_revision < ? and state = 'waiting'",
        why,
        at,
        event_id,
        before_revision
    )
    .execute(&mut **tx)
    .await?;
    Ok(done.rows_affected())
}

/// After a change of nothing but the facts for visitors: cancels an event's waiting
/// reminders and call sheets, which are made again with the new facts, and lets all its
/// other letters go out. A letter about a question gives way to the newer one, if there is
/// one (see [`supersede`]).
///
/// # Errors
/// The store's.
pub async fn keep_for_event(tx: &mut Tx, event_id: i64, revision: i64, why: &str, now: OffsetDateTime) -> Result<()> {
    let at = now.unix_timestamp();
    sqlx::query!(
        "update mail set state = 'cancelled', words = ?, settled_at = ?
         where event_id = ? and facts_revision < ? and state = 'waiting'
           and (kind = 'reminder' or dedup glob 'call-sheet/*')",
        why,
        at,
        event_id,
        revision
    )
    .execute(&mut **tx)
    .await?;
    sqlx::query!(
        "update mail set facts_revision = ?
         where event_id = ? and facts_revision < ? and state in ('waiting', 'sending')
           and kind <> 'reminder' and dedup not glob 'call-sheet/*'",
        revision,
        event_id,
        revision
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// Who an unsubscribe link belongs to: the person's number.
///
/// # Errors
/// The store's.
pub async fn announcement_link(db: &SqlitePool, secret: &Secret) -> Result<Option<i64>> {
    let hash = secret.hash();
    let person = sqlx::query_scalar!(
        r#"select coalesce(p.merged_into, p.id) as "id!: i64"
           from announcement_link l join person p on p.id = l.person_id
           where l.token_hash = ? and p.forgotten_at is null"#,
        hash
    );
    Ok(person.fetch_optional(db).await?)
}

/// Records that a letter went out, or how a relay refused it, at a time in the past. For
/// a made-up history like the demo's.
///
/// # Errors
/// The store's.
pub async fn note_past(tx: &mut Tx, id: i64, refused: Option<&str>, at: OffsetDateTime) -> Result<()> {
    let (state, words) = refused.map_or(("sent", ""), |words| ("failed", words));
    let code = words.split(' ').next().unwrap_or_default();
    let at = at.unix_timestamp();
    sqlx::query!(
        "update mail set state = ?, code = ?, words = ?, settled_at = ? where id = ?",
        state,
        code,
        words,
        at,
        id
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// The same for all waiting letters about a question.
///
/// # Errors
/// The store's.
pub async fn note_past_of(tx: &mut Tx, request_id: i64, at: OffsetDateTime) -> Result<()> {
    let at = at.unix_timestamp();
    sqlx::query!(
        "update mail set state = 'sent', settled_at = ? where request_id = ? and state = 'waiting'",
        at,
        request_id
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// Erases what was written to these rows of one person, and cancels what is waiting.
/// That something was sent, and when, stays.
///
/// # Errors
/// The store's.
pub async fn forget(tx: &mut Tx, people: &[i64], now: OffsetDateTime) -> Result<()> {
    let (at, people) = (now.unix_timestamp(), serde_json::json!(people).to_string());
    sqlx::query!(
        "update mail set state = 'cancelled', settled_at = ?
         where state = 'waiting' and person_id in (select value from json_each(?))",
        at,
        people
    )
    .execute(&mut **tx)
    .await?;
    // What the relay said may repeat the address.
    sqlx::query!(
        "update mail set to_name = '', to_address = 'forgotten@invalid', text = '', html = '', calendar = null,
                         method = null, more_calendars = '[]', words = ''
         where person_id in (select value from json_each(?))",
        people
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}
