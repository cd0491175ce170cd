//! The tasks in the store.

mod changing;
mod entry;
mod notes;
mod reading;
mod rows;
mod status;
mod usual_plan;

use crate::db::Tx;
use crate::error::Result;
use serde_json::json;

pub(super) use changing::{MOST_TASKS, add, remove};
pub(super) use notes::{add_note, notes};
pub(super) use reading::of_event;
pub(super) use status::reset;

pub use changing::save;
pub use reading::read;
pub use status::{NewState, Set, set_state};
pub use usual_plan::add_template;

/// Hands all tasks of one person to another record of the same person. Returns
/// their IDs, so it can be undone.
///
/// # Errors
/// The store's.
pub async fn hand_over(tx: &mut Tx, from: i64, to: i64) -> Result<Vec<i64>> {
    let moved = sqlx::query_scalar!(
        r#"update task set owner_id = ?, version = version + 1 where owner_id = ? returning id as "id!""#,
        to,
        from
    );
    Ok(moved.fetch_all(&mut **tx).await?)
}

/// Undoes that for the tasks the other still has.
///
/// # Errors
/// The store's.
pub async fn hand_back(tx: &mut Tx, tasks: &[i64], from: i64, to: i64) -> Result<()> {
    let tasks = json!(tasks).to_string();
    sqlx::query!(
        "update task set owner_id = ?, version = version + 1
         where owner_id = ? and id in (select value from json_each(?))",
        to,
        from,
        tasks
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}
