//! The records in the store.

mod changing;
mod conditions;
mod journal;
mod reading;
mod refused;
mod rows;
mod sendings;

use crate::db::Tx;
use crate::error::Result;
use serde_json::json;

pub use changing::{add, add_usual, remove, save};
pub use conditions::read_back;
pub use reading::{find, known_rules, of_event};
pub use refused::Refused;
pub use sendings::{add_sending, receive, remove_sending};

/// Moves the records that name one person to another record of the same person. Returns
/// their numbers, so that it can be undone.
///
/// # Errors
/// The store's.
pub async fn hand_over(tx: &mut Tx, from: i64, to: i64) -> Result<Vec<i64>> {
    let moved = sqlx::query_scalar!(
        r#"update permit set person_id = ?, version = version + 1 where person_id = ? returning id as "id!""#,
        to,
        from
    );
    Ok(moved.fetch_all(&mut **tx).await?)
}

/// Undoes that for the records that still name the other.
///
/// # Errors
/// The store's.
pub async fn hand_back(tx: &mut Tx, permits: &[i64], from: i64, to: i64) -> Result<()> {
    let permits = json!(permits).to_string();
    sqlx::query!(
        "update permit set person_id = ?, version = version + 1
         where person_id = ? and id in (select value from json_each(?))",
        to,
        from,
        permits
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// Takes a person out of the records: as a contact at an authority with phone and email,
/// and wherever one of their names, addresses or numbers was typed.
///
/// # Errors
/// The store's.
pub async fn forget(tx: &mut Tx, people: &[i64], words: &[String]) -> Result<()> {
    let filled: Vec<&String> = words.iter().filter(|word| !word.is_empty()).collect();
    let (people, words) = (json!(people).to_string(), json!(filled).to_string());
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
