//! Erases what was written to someone. That something was sent, and when, stays.

use super::cancel::cancel_by_key;
use crate::db::Tx;
use crate::error::Result;
use time::OffsetDateTime;

/// Erases what was written to these rows of one person, and cancels what is waiting.
/// That something was sent, and when, stays.
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

/// Erases the letters whose key begins like this, to someone who isn't in the directory,
/// and cancels those that are waiting.
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
