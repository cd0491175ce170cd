//! Items and rulings that name people whose data is erased.

use crate::db::Tx;
use crate::error::Result;
use crate::people::Erasure;

/// Removes someone's names wherever they were typed. The donations themselves say nothing else
/// about them.
pub(super) async fn blank(tx: &mut Tx, erasure: &Erasure) -> Result<()> {
    let names = erasure.words_json();
    sqlx::query!(
        "update room_thing set by_whom = '', version = version + 1
         where by_whom in (select value from json_each(?))",
        names
    )
    .execute(&mut **tx)
    .await?;
    sqlx::query!(
        "update room_ruling set decided_by = 'somebody forgotten'
         where decided_by in (select value from json_each(?))",
        names
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}
