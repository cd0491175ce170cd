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
