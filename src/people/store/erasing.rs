//! Erasing what is known about someone.

use super::journaled::entry;
use crate::db::Tx;
use crate::db::journal::{Actor, record};
use crate::error::Result;
use crate::people::references::Erasure;
use serde_json::json;

/// What identifies the person of these rows: names, emails, phone numbers.
pub async fn words_of(tx: &mut Tx, rows: &[i64]) -> Result<Vec<String>> {
    let rows = json!(rows).to_string();
    let known = sqlx::query!("select name, mail, phone from person where id in (select value from json_each(?))", rows)
        .fetch_all(&mut **tx)
        .await?;
    Ok(known.into_iter().flat_map(|row| [row.name, row.mail, row.phone]).collect())
}

/// What a person whose data was erased is called.
#[must_use]
pub fn erased(id: i64) -> String {
    format!("Erased person {id}")
}

/// Erases the data in the rows of one person. The rows stay for the counts.
pub async fn erase(tx: &mut Tx, actor: Actor, id: i64, erasure: &Erasure) -> Result<()> {
    let (at, list) = (erasure.now.unix_timestamp(), erasure.rows_json());
    sqlx::query!(
        "update person set name = 'Erased person ' || id, surname = '', address_form = '', said = '',
                           organization_id = null, office = '', jurisdiction = '', mail = '', phone = '',
                           channel = 'mail', notes = '', access_needs = '', refused_at = null, refused_why = '',
                           search = '', forgotten_at = ?, version = version + 1
         where id in (select value from json_each(?))",
        at,
        list
    )
    .execute(&mut **tx)
    .await?;
    record(tx, erasure.now, entry(actor, "forgot", id, &erasure.called));
    Ok(())
}
