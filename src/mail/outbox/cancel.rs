//! Takes letters out of the outbox before they are sent.

use crate::db::Tx;
use crate::error::Result;
use time::OffsetDateTime;

/// Cancels the waiting letters that ask a question or report on it: the letter with this
/// key says it all.
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

/// Cancels the waiting letters that an answer makes needless: those that ask a question or
/// report on it and, once all of it is answered, its reminders.
pub async fn cancel_answered(tx: &mut Tx, request_id: i64, is_all: bool, now: OffsetDateTime) -> Result<()> {
    let at = now.unix_timestamp();
    sqlx::query!(
        "update mail set state = 'cancelled', words = 'It was answered.', settled_at = ?
         where request_id = ? and state = 'waiting' and (kind in ('ask', 'notice') or (kind = 'reminder' and ?))",
        at,
        request_id,
        is_all
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// Cancels the waiting letters about a question.
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

/// Cancels the waiting letters about an event that say what was true before this
/// revision of its facts. Those being sent are stopped by the check right before their
/// text is sent.
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
