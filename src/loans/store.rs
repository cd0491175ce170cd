//! Everything that loans keep, and who is named in them.

mod journal;
mod kept;
mod letters;
mod reading;
mod row;
mod saving;
mod spans;
mod steps;

use crate::db::Tx;
use crate::error::Result;
use serde::{Deserialize, Serialize};
use serde_json::json;

pub(super) use kept::hour;
pub(super) use letters::{NewLetter, Written, add_letter, letters};
pub(super) use reading::{alike, elsewhere, event_of, of_event, of_request, some};
pub use reading::{find, is_out, lent};
pub use saving::add;
pub(super) use saving::{asked, save};
pub(super) use steps::take_back;
pub use steps::{Noted, note};

/// The numbers of the loans moved from one person's row to another.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct Handed {
    lender: Vec<i64>,
    #[serde(alias = "their")]
    lender_contact: Vec<i64>,
    #[serde(alias = "keeper")]
    our_contact: Vec<i64>,
}

/// Moves the loans of one person's row to another.
///
/// # Errors
/// The store's.
pub async fn hand_over(tx: &mut Tx, from: i64, to: i64) -> Result<Handed> {
    let lender =
        sqlx::query_scalar!(r#"update loan set lender_id = ? where lender_id = ? returning id as "id!""#, to, from);
    let lender = lender.fetch_all(&mut **tx).await?;
    let lender_contact = sqlx::query_scalar!(
        r#"update loan set lender_contact_id = ? where lender_contact_id = ? returning id as "id!""#,
        to,
        from
    );
    let lender_contact = lender_contact.fetch_all(&mut **tx).await?;
    let our_contact = sqlx::query_scalar!(
        r#"update loan set our_contact_id = ? where our_contact_id = ? returning id as "id!""#,
        to,
        from
    );
    let our_contact = our_contact.fetch_all(&mut **tx).await?;
    Ok(Handed { lender, lender_contact, our_contact })
}

/// Undoes it.
///
/// # Errors
/// The store's.
pub async fn hand_back(tx: &mut Tx, handed: &Handed, to: i64) -> Result<()> {
    for id in &handed.lender {
        sqlx::query!("update loan set lender_id = ? where id = ?", to, id).execute(&mut **tx).await?;
    }
    for id in &handed.lender_contact {
        sqlx::query!("update loan set lender_contact_id = ? where id = ?", to, id).execute(&mut **tx).await?;
    }
    for id in &handed.our_contact {
        sqlx::query!("update loan set our_contact_id = ? where id = ?", to, id).execute(&mut **tx).await?;
    }
    Ok(())
}

/// Removes a person's words and name from the loans. What was lent, and in what condition,
/// stays on file.
///
/// # Errors
/// The store's.
pub async fn forget(tx: &mut Tx, people: &[i64], names: &[String]) -> Result<()> {
    let filled: Vec<&String> = names.iter().filter(|name| !name.is_empty()).collect();
    let (people, names) = (json!(people).to_string(), json!(filled).to_string());
    sqlx::query!(
        "update loan_letter set text = '' where loan_id in (
             select id from loan where lender_id in (select value from json_each(?)))",
        people
    )
    .execute(&mut **tx)
    .await?;
    sqlx::query!(
        "update loan set notes = '', collect_place = '', return_place = '', version = version + 1
         where lender_id in (select value from json_each(?))",
        people
    )
    .execute(&mut **tx)
    .await?;
    sqlx::query!(
        "update loan set collect_by = iif(collect_by in (select value from json_each(?1)), '', collect_by),
                         return_by = iif(return_by in (select value from json_each(?1)), '', return_by),
                         operator = iif(operator in (select value from json_each(?1)), '', operator)
         where collect_by in (select value from json_each(?1)) or return_by in (select value from json_each(?1))
            or operator in (select value from json_each(?1))",
        names
    )
    .execute(&mut **tx)
    .await?;
    sqlx::query!(
        "update loan_step set note = '' where loan_id in (
             select id from loan where lender_id in (select value from json_each(?)))",
        people
    )
    .execute(&mut **tx)
    .await?;
    sqlx::query!("update loan_step set who = '' where who in (select value from json_each(?))", names)
        .execute(&mut **tx)
        .await?;
    super::handing::store::forget(tx, &people, &names).await
}
