//! The notes on a task.

use super::entry::entry;
use crate::countdown::Task;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use serde_json::json;
use sqlx::SqlitePool;
use time::OffsetDateTime;

/// A note on a task.
#[derive(Debug)]
pub struct Note {
    pub who: String,
    pub at: OffsetDateTime,
    pub text: String,
}

/// The notes on a task, newest first.
pub async fn notes(db: &SqlitePool, task_id: i64) -> Result<Vec<Note>> {
    let rows = sqlx::query!(
        "select p.name, n.at, n.text from task_note n join account a on a.id = n.account_id
         join person p on p.id = a.person_id where n.task_id = ? order by n.id desc",
        task_id
    )
    .fetch_all(db)
    .await?;
    rows.into_iter()
        .map(|row| Ok(Note { who: row.name, at: OffsetDateTime::from_unix_timestamp(row.at)?, text: row.text }))
        .collect()
}

/// Adds a note to a task.
pub async fn add_note(
    tx: &mut Tx,
    account_id: i64,
    event_id: i64,
    task: &Task,
    text: &str,
    now: OffsetDateTime,
) -> Result<()> {
    let at = now.unix_timestamp();
    sqlx::query!(
        "insert into task_note (task_id, account_id, at, text) values (?, ?, ?, ?)",
        task.id,
        account_id,
        at,
        text
    )
    .execute(&mut **tx)
    .await?;
    let entry = entry(Actor::Account(account_id), "added a note to", event_id, task.id, &task.details.title);
    record(tx, now, Entry { after: Some(json!({"note": text})), ..entry });
    Ok(())
}
