//! What becomes of a message that was claimed, and of those past their time.

use super::MailState;
use crate::db::Tx;
use crate::error::Result;
use sqlx::SqlitePool;
use time::{Duration, OffsetDateTime};

pub(super) const LATE: &str = "It didn't go out in time. Any later, it would have been wrong or of no use.";

/// What became of a message.
#[derive(Debug)]
pub struct Settled<'a> {
    pub state: MailState,
    pub code: &'a str,
    pub words: &'a str,
}

/// Settles a message of this run.
pub async fn settle(tx: &mut Tx, id: i64, run: &str, to: &Settled<'_>, now: OffsetDateTime) -> Result<()> {
    let (state, at) = (to.state.as_str(), now.unix_timestamp());
    sqlx::query!(
        "update mail set state = ?, code = ?, words = ?, settled_at = ?, sender = null
         where id = ? and state = 'sending' and sender = ?",
        state,
        to.code,
        to.words,
        at,
        id,
        run
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// When and why a message is tried again.
#[derive(Debug)]
pub struct Again<'a> {
    pub at: OffsetDateTime,
    pub code: &'a str,
    pub words: &'a str,
    /// The relay put this one off.
    pub attempt: bool,
    /// The relay may have accepted it.
    pub unsure: bool,
}

/// Lets a message of this run wait again: untouched, or until later.
pub async fn wait(tx: &mut Tx, id: i64, run: &str, again: Option<&Again<'_>>, now: OffsetDateTime) -> Result<()> {
    let Some(again) = again else {
        sqlx::query!(
            "update mail set state = 'waiting', sender = null, data_at = null
             where id = ? and state = 'sending' and sender = ?",
            id,
            run
        )
        .execute(&mut **tx)
        .await?;
        return Ok(());
    };
    let (at, next) = (now.unix_timestamp(), again.at.unix_timestamp());
    // If the next try would come too late, it expires now.
    sqlx::query!(
        "update mail set state = iif(not_after < ?2, 'expired', 'waiting'), settled_at = iif(not_after < ?2, ?3, null),
                         next_try_at = ?2, code = ?4, words = ?5, attempts = attempts + ?6, unsure = unsure + ?7,
                         sender = null, data_at = null
         where id = ?1 and state = 'sending' and sender = ?8",
        id,
        next,
        at,
        again.code,
        again.words,
        again.attempt,
        again.unsure,
        run
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// Settles messages that were not sent in time.
pub async fn expire(tx: &mut Tx, now: OffsetDateTime) -> Result<u64> {
    let at = now.unix_timestamp();
    let done = sqlx::query!(
        "update mail set state = 'expired', words = iif(words = '', ?, ? || ' ' || words), settled_at = ?
         where state = 'waiting' and not_after < ?",
        LATE,
        LATE,
        at,
        at
    )
    .execute(&mut **tx)
    .await?;
    Ok(done.rows_affected())
}

/// Is anything past its time?
pub async fn has_expired(db: &SqlitePool, now: OffsetDateTime) -> Result<bool> {
    let at = now.unix_timestamp();
    let one = sqlx::query_scalar!(
        r#"select exists (select 1 from mail where state = 'waiting' and not_after < ?) as "any!: i64""#,
        at
    );
    Ok(one.fetch_one(db).await? != 0)
}

/// After the clock was set back: no message that was put off waits longer than the
/// longest wait.
pub async fn pull_in(tx: &mut Tx, longest: Duration, now: OffsetDateTime) -> Result<()> {
    let (at, latest) = (now.unix_timestamp(), (now + longest).unix_timestamp());
    sqlx::query!(
        "update mail set next_try_at = max(due_at, ?)
         where state = 'waiting' and next_try_at > due_at and next_try_at > ?",
        at,
        latest
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}
