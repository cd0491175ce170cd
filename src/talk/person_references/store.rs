//! Lines of people whose data is erased.

use crate::db::Tx;
use crate::error::Result;
use crate::people::Erasure;

/// Takes someone's names out of the talk.
pub(super) async fn blank(tx: &mut Tx, erasure: &Erasure) -> Result<()> {
    let names = erasure.words_json();
    sqlx::query!(
        "update talk_line set speaker = '', version = version + 1
         where speaker in (select value from json_each(?))",
        names
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}
