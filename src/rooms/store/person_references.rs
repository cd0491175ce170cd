//! What refers to a person: reassigned on a merge, undone, blanked on erasing.

use crate::db::Tx;
use crate::error::Result;
use serde_json::json;

/// Moves the donations of one person's row to another and returns their numbers.
///
/// # Errors
/// The store's.
pub async fn hand_over(tx: &mut Tx, from: i64, to: i64) -> Result<Vec<i64>> {
    let moved = sqlx::query_scalar!(
        r#"update donation_request set person_id = ? where person_id = ? returning id as "id!""#,
        to,
        from
    )
    .fetch_all(&mut **tx)
    .await?;
    Ok(moved)
}

/// Undoes it.
///
/// # Errors
/// The store's.
pub async fn hand_back(tx: &mut Tx, donations: &[i64], to: i64) -> Result<()> {
    for id in donations {
        sqlx::query!("update donation_request set person_id = ? where id = ?", to, id).execute(&mut **tx).await?;
    }
    Ok(())
}

/// Removes someone's names wherever they were typed. The donations themselves say nothing else
/// about them.
///
/// # Errors
/// The store's.
pub async fn forget(tx: &mut Tx, names: &[String]) -> Result<()> {
    let filled: Vec<&String> = names.iter().filter(|name| !name.is_empty()).collect();
    let names = json!(filled).to_string();
    sqlx::query!(
        "update room_thing set by_whom = '', version = version + 1
         where by_whom in (select value from json_each(?))",
        names
    )
    .execute(&mut **tx)
    .await?;
    sqlx::query!(
        "update room_ruling set decided_by = 'somebody forgotten'
         where decided_by in (select value from json_each(?))",
        names
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}
