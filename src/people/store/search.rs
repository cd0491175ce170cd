//! The text that searches go through.

use super::reading::find;
use crate::db::Tx;
use crate::error::Result;

/// Fills in the search text of rows that are older than the search, or than the order it
/// is in.
pub async fn fill_search(tx: &mut Tx) -> Result<()> {
    let bare = sqlx::query_scalar!(
        r#"select id as "id!" from person where search = '' and forgotten_at is null and merged_into is null"#
    )
    .fetch_all(&mut **tx)
    .await?;
    for id in bare {
        write_search(tx, id).await?;
    }
    Ok(())
}

pub(super) async fn write_search(tx: &mut Tx, id: i64) -> Result<()> {
    let Some(person) = find(tx, id).await? else { return Ok(()) };
    let search = person.details.search();
    sqlx::query!("update person set search = ? where id = ?", search, id).execute(&mut **tx).await?;
    Ok(())
}
