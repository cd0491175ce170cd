//! Accounts of merged and erased people.

use crate::db::Tx;
use crate::error::Result;
use crate::people::Erasure;
use serde_json::{Value, json};

/// Moves an account to another record of the same person, and returns whether there was one.
/// If both have one, theirs stays with the record that goes.
pub(super) async fn reassign(tx: &mut Tx, from: i64, to: i64) -> Result<Value> {
    let moved = sqlx::query!("update or ignore account set person_id = ? where person_id = ?", to, from);
    Ok(json!(moved.execute(&mut **tx).await?.rows_affected() > 0))
}

/// Undoes it.
pub(super) async fn undo(tx: &mut Tx, has_moved: Value, from: i64, to: i64) -> Result<()> {
    if serde_json::from_value(has_moved)? {
        sqlx::query!("update account set person_id = ? where person_id = ?", to, from).execute(&mut **tx).await?;
    }
    Ok(())
}

/// Blanks disabled accounts. What they did stays under their numbers.
pub(super) async fn blank(tx: &mut Tx, erasure: &Erasure) -> Result<()> {
    let rows = erasure.rows_json();
    sqlx::query!(
        "update account set mail = 'forgotten-' || id || '@invalid', password_hash = null, version = version + 1
         where person_id in (select value from json_each(?)) and disabled_at is not null",
        rows
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}
