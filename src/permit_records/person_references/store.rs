//! Permits and notices that name people whose data is erased.

use crate::db::Tx;
use crate::error::Result;
use crate::people::Erasure;

/// Takes a person out of the records: as a contact at an authority with phone and email,
/// and wherever one of their names, addresses or numbers was typed.
pub(super) async fn blank(tx: &mut Tx, erasure: &Erasure) -> Result<()> {
    let (people, words) = (erasure.rows_json(), erasure.words_json());
    sqlx::query!(
        "update permit set person_id = null, phone = '', mail = '', version = version + 1
         where person_id in (select value from json_each(?))",
        people
    )
    .execute(&mut **tx)
    .await?;
    sqlx::query!(
        "update permit set authority = iif(authority in (select value from json_each(?1)), '', authority),
                           phone = iif(phone in (select value from json_each(?1)), '', phone),
                           mail = iif(mail in (select value from json_each(?1)), '', mail),
                           learned_by = iif(learned_by in (select value from json_each(?1)), '', learned_by)
         where authority in (select value from json_each(?1)) or phone in (select value from json_each(?1))
            or mail in (select value from json_each(?1)) or learned_by in (select value from json_each(?1))",
        words
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}
