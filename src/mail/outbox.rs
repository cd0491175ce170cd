//! The outbox in the store: all SQL about mail.

use super::Letter;
use crate::db::Tx;
use crate::error::Result;
use crate::web::link::short_id;
use time::OffsetDateTime;

/// Puts a letter into the outbox. None if one of its key is there already.
///
/// # Errors
/// The store's.
pub async fn queue(tx: &mut Tx, letter: &Letter, now: OffsetDateTime) -> Result<Option<i64>> {
    let host = letter.reply_to.address.rsplit('@').next().unwrap_or("localhost");
    // Made once and for all tries, so that a second copy is known as one.
    let message_id = format!("{}.{}.{}@{host}", now.unix_timestamp(), short_id(), short_id());
    let (kind, method) = (letter.kind.as_str(), letter.calendar.as_ref().map(|calendar| calendar.method.as_str()));
    let calendar = letter.calendar.as_ref().map(|calendar| calendar.text.as_str());
    let (due_at, not_after) = (letter.due_at.unix_timestamp(), letter.not_after.unix_timestamp());
    let at = now.unix_timestamp();
    let done = sqlx::query!(
        "insert into mail (kind, event_id, person_id, request_id, date_revision, dedup, to_name, to_address, reply_name,
                           reply_address, subject, text, html, calendar, method, message_id, in_reply_to, urgent,
                           due_at, not_after, next_try_at, created_at)
         values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) on conflict (dedup) do nothing",
        kind,
        letter.event_id,
        letter.person_id,
        letter.request_id,
        letter.date_revision,
        letter.dedup,
        letter.to.name,
        letter.to.address,
        letter.reply_to.name,
        letter.reply_to.address,
        letter.subject,
        letter.body.text,
        letter.body.html,
        calendar,
        method,
        message_id,
        letter.in_reply_to,
        letter.urgent,
        due_at,
        not_after,
        due_at,
        at
    )
    .execute(&mut **tx)
    .await?;
    Ok((done.rows_affected() > 0).then(|| done.last_insert_rowid()))
}

/// Takes back what waits about a question.
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

/// Takes back what waits for an event as it was before its burn day moved.
///
/// # Errors
/// The store's.
pub async fn cancel_older(tx: &mut Tx, event_id: i64, date_revision: i64, now: OffsetDateTime) -> Result<u64> {
    let at = now.unix_timestamp();
    let done = sqlx::query!(
        "update mail set state = 'cancelled', words = 'The burn day moved.', settled_at = ?
         where event_id = ? and date_revision < ? and state = 'waiting'",
        at,
        event_id,
        date_revision
    )
    .execute(&mut **tx)
    .await?;
    Ok(done.rows_affected())
}

/// Blanks what was written to these rows of one person, and takes back what
/// waits. That something was sent, and when, stays.
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
    // A relay's words may repeat the address.
    sqlx::query!(
        "update mail set to_name = '', to_address = 'forgotten@invalid', text = '', html = '', calendar = null,
                         method = null, words = ''
         where person_id in (select value from json_each(?))",
        people
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}
