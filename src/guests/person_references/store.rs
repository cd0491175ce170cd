//! Guests who are merged, and those whose data is erased.

use crate::db::Tx;
use crate::error::Result;
use crate::people::Erasure;
use serde_json::{Value, json};

/// Makes another record of the same person the usual signer, if this one is. Returns whether it
/// is: the settings are one row for all events.
pub(super) async fn reassign(tx: &mut Tx, from: i64, to: i64) -> Result<Value> {
    let usual = sqlx::query!("update guest_habit set signer_id = ? where signer_id = ?", to, from);
    Ok(json!(usual.execute(&mut **tx).await?.rows_affected() > 0))
}

/// Undoes it.
pub(super) async fn undo(tx: &mut Tx, is_usual: Value, from: i64, to: i64) -> Result<()> {
    if serde_json::from_value(is_usual)? {
        sqlx::query!("update guest_habit set signer_id = ? where signer_id = ?", to, from).execute(&mut **tx).await?;
    }
    Ok(())
}

/// Erases what was saved about one person.
pub(super) async fn blank(tx: &mut Tx, erasure: &Erasure) -> Result<()> {
    let people = erasure.rows_json();
    sqlx::query!(
        "update guest set address = '', since = '', met_by = '', seat = '', parking = '', clothing = '', press = '',
                          also_comes = '', microphone = '', place = null, place_reason = '', day_deputy = '',
                          day_deputy_title = '', day_deputy_phone = '', day_deputy_mail = ''
         where person_id in (select value from json_each(?))",
        people
    )
    .execute(&mut **tx)
    .await?;
    sqlx::query!("update guest set signer_id = null where signer_id in (select value from json_each(?))", people)
        .execute(&mut **tx)
        .await?;
    sqlx::query!("update guest_habit set signer_id = null where signer_id in (select value from json_each(?))", people)
        .execute(&mut **tx)
        .await?;
    Ok(())
}
