//! All SQL of thanks.

mod day;
mod drafts;
mod entry;
mod thanked;

use crate::db::Tx;
use crate::error::Result;
use serde::{Deserialize, Serialize};
use serde_json::json;

pub(super) use day::day;
pub use day::save_day;
pub(super) use drafts::drafts;
pub use drafts::save_draft;
pub(super) use thanked::{add_thanked, take_back, thanked};

/// Rows that moved when two contact records were merged.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct Moved {
    drafts: Vec<i64>,
    thanked: Vec<i64>,
}

/// Moves the thanks of one row of a person to another. If both have a sentence, the row
/// that stays keeps its own.
///
/// # Errors
/// The store's.
pub async fn hand_over(tx: &mut Tx, from: i64, to: i64) -> Result<Moved> {
    let drafts = sqlx::query_scalar!(
        r#"update or ignore thanks_draft set person_id = ? where person_id = ? returning id as "id!""#,
        to,
        from
    );
    let drafts = drafts.fetch_all(&mut **tx).await?;
    let thanked =
        sqlx::query_scalar!(r#"update thanked set person_id = ? where person_id = ? returning id as "id!""#, to, from);
    Ok(Moved { drafts, thanked: thanked.fetch_all(&mut **tx).await? })
}

/// Undoes it.
///
/// # Errors
/// The store's.
pub async fn hand_back(tx: &mut Tx, moved: &Moved, to: i64) -> Result<()> {
    for id in &moved.drafts {
        sqlx::query!("update thanks_draft set person_id = ? where id = ?", to, id).execute(&mut **tx).await?;
    }
    for id in &moved.thanked {
        sqlx::query!("update thanked set person_id = ? where id = ?", to, id).execute(&mut **tx).await?;
    }
    Ok(())
}

/// Erases what was written for these rows of one person. The fact that they were thanked
/// stays.
///
/// # Errors
/// The store's.
pub async fn forget(tx: &mut Tx, people: &[i64]) -> Result<()> {
    let people = json!(people).to_string();
    sqlx::query!("delete from thanks_draft where person_id in (select value from json_each(?))", people)
        .execute(&mut **tx)
        .await?;
    Ok(())
}
