//! Gifts of people whose data is erased.

use crate::db::Tx;
use crate::error::Result;
use crate::people::Erasure;

/// Erases a person's name from their gifts and from others'. What was given stays on
/// record, and so does the fact that a receipt was given.
pub(super) async fn blank(tx: &mut Tx, erasure: &Erasure) -> Result<()> {
    let (people, names) = (erasure.rows_json(), erasure.words_json());
    sqlx::query!(
        "update receipt set text = '', made_from = null where gift_id in (
             select id from gift where person_id in (select value from json_each(?)))",
        people
    )
    .execute(&mut **tx)
    .await?;
    sqlx::query!(
        "update gift set credited_as = '', agreed_by = '', logo = '', notes = '', version = version + 1
         where person_id in (select value from json_each(?))",
        people
    )
    .execute(&mut **tx)
    .await?;
    sqlx::query!(
        "update gift set taken_by = iif(taken_by in (select value from json_each(?1)), '', taken_by),
                         agreed_by = iif(agreed_by in (select value from json_each(?1)), '', agreed_by),
                         value_by = iif(value_by in (select value from json_each(?1)), '', value_by)
         where taken_by in (select value from json_each(?1)) or agreed_by in (select value from json_each(?1))
            or value_by in (select value from json_each(?1))",
        names
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}
