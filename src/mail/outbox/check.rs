//! The check right before a message's text is sent.

use super::settling::{LATE, Settled, settle, wait};
use super::{MailState, known};
use crate::db::Tx;
use crate::error::Result;
use crate::mail::outside::{About, Check};
use time::OffsetDateTime;

/// The result of the check right before a message's text is sent.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PreSendCheck {
    Go,
    /// It was settled: it is no longer true, wanted or in time.
    Settled,
    /// It waits again: all email is on hold.
    Held,
    /// It no longer belongs to this run.
    Lost,
}

/// The check right before a message's text is sent. It is a write like any other, so
/// whatever was committed before it counts.
pub async fn check_before_sending(
    tx: &mut Tx,
    id: i64,
    run: &str,
    checks: &[Check],
    now: OffsetDateTime,
) -> Result<PreSendCheck> {
    let at = now.unix_timestamp();
    let row = sqlx::query!(
        r#"select kind, event_id, facts_revision, person_id, request_id, not_after,
                  exists (select 1 from mail_hold where held = 1) as "held!: bool"
           from mail where id = ? and state = 'sending' and sender = ?"#,
        id,
        run
    )
    .fetch_optional(&mut **tx)
    .await?;
    let Some(row) = row else { return Ok(PreSendCheck::Lost) };
    let about = About {
        kind: known(&row.kind)?,
        event_id: row.event_id,
        facts_revision: row.facts_revision,
        person_id: row.person_id,
        request_id: row.request_id,
    };
    let objection = match objection(tx, &about, checks).await? {
        None if row.not_after < at => Some((MailState::Expired, LATE)),
        said => said.map(|why| (MailState::Cancelled, why)),
    };
    if let Some((state, words)) = objection {
        settle(tx, id, run, &Settled { state, code: "", words }, now).await?;
        return Ok(PreSendCheck::Settled);
    }
    if row.held {
        wait(tx, id, run, None, now).await?;
        return Ok(PreSendCheck::Held);
    }
    sqlx::query!("update mail set data_at = ? where id = ?", at, id).execute(&mut **tx).await?;
    Ok(PreSendCheck::Go)
}

/// Why it must not go out, if it mustn't.
async fn objection(tx: &mut Tx, about: &About, checks: &[Check]) -> Result<Option<&'static str>> {
    for check in checks {
        if let Some(why) = check(tx, about).await? {
            return Ok(Some(why));
        }
    }
    Ok(None)
}
