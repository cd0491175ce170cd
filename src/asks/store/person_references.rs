//! The questions to a person when two records of them are merged or their data is erased.

use crate::db::Tx;
use crate::error::Result;
use crate::mail;
use time::OffsetDateTime;

/// Moves all questions to a duplicate contact record of the same person. Returns their
/// numbers so that it can be undone.
///
/// # Errors
/// The store's.
pub async fn hand_over(tx: &mut Tx, from: i64, to: i64) -> Result<Vec<i64>> {
    let moved =
        sqlx::query_scalar!(r#"update request set person_id = ? where person_id = ? returning id as "id!""#, to, from)
            .fetch_all(&mut **tx)
            .await?;
    Ok(moved)
}

/// Undoes the move.
///
/// # Errors
/// The store's.
pub async fn hand_back(tx: &mut Tx, requests: &[i64], to: i64) -> Result<()> {
    for id in requests {
        sqlx::query!("update request set person_id = ? where id = ?", to, id).execute(&mut **tx).await?;
    }
    Ok(())
}

/// Blanks what one person, under any of these records, wrote in their own words and what
/// was written to them. That they were asked and what they answered stays.
///
/// # Errors
/// The store's.
pub async fn forget(tx: &mut Tx, people: &[i64], now: OffsetDateTime) -> Result<()> {
    let people = serde_json::json!(people).to_string();
    let requests = sqlx::query_scalar!(
        r#"select id as "id!" from request where person_id in (select value from json_each(?))"#,
        people
    );
    for id in requests.fetch_all(&mut **tx).await? {
        mail::forget_by_key(tx, &format!("deputy/{id}/"), now).await?;
    }
    sqlx::query!(
        "update answer set note = '', access_needs = '', evidence = '', deputy_phone = '', deputy_mail = ''
         where ask_id in (
             select a.id from ask a join request r on r.id = a.request_id
             where r.person_id in (select value from json_each(?)))",
        people
    )
    .execute(&mut **tx)
    .await?;
    sqlx::query!(
        "update ask_call set note = '' where request_id in (
             select id from request where person_id in (select value from json_each(?)))",
        people
    )
    .execute(&mut **tx)
    .await?;
    // Their answer to a date stays. A deputy's name goes with the rest.
    sqlx::query!(
        "update statement set content = '{\"dates\":[],\"facts\":[]}' where request_id in (
             select id from request where person_id in (select value from json_each(?)))",
        people
    )
    .execute(&mut **tx)
    .await?;
    sqlx::query!("update request set words = '' where person_id in (select value from json_each(?))", people)
        .execute(&mut **tx)
        .await?;
    Ok(())
}
