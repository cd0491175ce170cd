//! Thanks to people whose data is erased.

use crate::db::Tx;
use crate::error::Result;
use crate::people::Erasure;

/// Erases what was written for one person. The fact that they were thanked stays.
pub(super) async fn blank(tx: &mut Tx, erasure: &Erasure) -> Result<()> {
    let people = erasure.rows_json();
    sqlx::query!("delete from thanks_draft where person_id in (select value from json_each(?))", people)
        .execute(&mut **tx)
        .await?;
    Ok(())
}
