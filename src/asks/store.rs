use crate::db::Tx;
use crate::error::Result;

/// Hands all questions of one person to another, who is the same one. Gives
/// their numbers, so that it can be undone.
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

/// Undoes it.
///
/// # Errors
/// The store's.
pub async fn hand_back(tx: &mut Tx, requests: &[i64], to: i64) -> Result<()> {
    for id in requests {
        sqlx::query!("update request set person_id = ? where id = ?", to, id).execute(&mut **tx).await?;
    }
    Ok(())
}

/// Blanks what these rows of one person said in their own words and what was
/// written to them; that they were asked, and what they answered, stays.
///
/// # Errors
/// The store's.
pub async fn forget(tx: &mut Tx, people: &[i64]) -> Result<()> {
    let people = serde_json::json!(people).to_string();
    sqlx::query!(
        "update answer set note = '', access_needs = '', evidence = '' where ask_id in (
             select a.id from ask a join request r on r.id = a.request_id
             where r.person_id in (select value from json_each(?)))",
        people
    )
    .execute(&mut **tx)
    .await?;
    sqlx::query!("update request set words = '' where person_id in (select value from json_each(?))", people)
        .execute(&mut **tx)
        .await?;
    Ok(())
}
