//! Changing, withdrawing and reopening a question.

use super::journal::entry;
use crate::asks::Request;
use crate::db::Tx;
use crate::db::journal::{Actor, record};
use crate::error::Result;
use crate::mail;
use time::OffsetDateTime;

/// Replaces a question's own lines. False if they are the same.
pub(in crate::asks) async fn set_facts(tx: &mut Tx, id: i64, facts: &[(String, String)]) -> Result<bool> {
    let facts = serde_json::to_string(facts)?;
    let done = sqlx::query!(
        "update request set facts = ?, version = version + 1 where id = ? and facts <> ?",
        facts,
        id,
        facts
    )
    .execute(&mut **tx)
    .await?;
    Ok(done.rows_affected() > 0)
}

/// Puts a question's own lines into other words, which is no change to the question.
pub(in crate::asks) async fn reword(tx: &mut Tx, id: i64, facts: &[(String, String)]) -> Result<()> {
    let facts = serde_json::to_string(facts)?;
    sqlx::query!("update request set facts = ? where id = ?", facts, id).execute(&mut **tx).await?;
    Ok(())
}

/// Changes the last moment to answer by link.
pub(in crate::asks) async fn set_closing(tx: &mut Tx, id: i64, closes_at: OffsetDateTime) -> Result<()> {
    let at = closes_at.unix_timestamp();
    sqlx::query!("update request set closes_at = ? where id = ?", at, id).execute(&mut **tx).await?;
    Ok(())
}

/// Withdraws a question. Its link says so from then on, and its waiting emails aren't sent.
/// False if it was withdrawn before.
pub async fn withdraw(tx: &mut Tx, actor: Actor, request: &Request, now: OffsetDateTime) -> Result<bool> {
    let at = now.unix_timestamp();
    let done = sqlx::query!(
        "update request set withdrawn_at = ?, version = version + 1 where id = ? and withdrawn_at is null",
        at,
        request.id
    )
    .execute(&mut **tx)
    .await?;
    if done.rows_affected() == 0 {
        return Ok(false);
    }
    mail::cancel_for_request(tx, request.id, "The question was withdrawn.", now).await?;
    record(tx, now, entry(actor, "withdrew", request.event_id, request.id, &request.question));
    Ok(true)
}

/// Opens a withdrawn question again. False if it is open.
pub(in crate::asks) async fn reopen(tx: &mut Tx, actor: Actor, request: &Request, now: OffsetDateTime) -> Result<bool> {
    let done = sqlx::query!(
        "update request set withdrawn_at = null, version = version + 1 where id = ? and withdrawn_at is not null",
        request.id
    )
    .execute(&mut **tx)
    .await?;
    if done.rows_affected() == 0 {
        return Ok(false);
    }
    record(tx, now, entry(actor, "reopened", request.event_id, request.id, &request.question));
    Ok(true)
}
