//! Letters that went out at a time in the past, for a made-up history like the demo's.

use crate::db::Tx;
use crate::error::Result;
use time::OffsetDateTime;

/// Records that a letter went out, or how a relay refused it, at a time in the past. For
/// a made-up history like the demo's.
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
