//! Pairs that someone marked as two people.

use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::people::Person;
use serde_json::json;
use sqlx::SqliteConnection;
use std::collections::HashSet;
use time::OffsetDateTime;

/// Pairs that someone marked as two people, the lower number first.
pub async fn not_doubles(db: &mut SqliteConnection) -> Result<HashSet<(i64, i64)>> {
    let rows =
        sqlx::query!(r#"select one_id as "one_id!", other_id as "other_id!" from not_double"#).fetch_all(db).await?;
    Ok(rows.into_iter().map(|row| (row.one_id, row.other_id)).collect())
}

/// Marks two people as not the same.
pub async fn say_two(
    tx: &mut Tx,
    actor: Actor,
    account_id: i64,
    one: &Person,
    other: &Person,
    now: OffsetDateTime,
) -> Result<()> {
    let (low, high, at) = (one.id.min(other.id), one.id.max(other.id), now.unix_timestamp());
    let said = sqlx::query!(
        "insert into not_double (one_id, other_id, said_at, said_by) values (?, ?, ?, ?) on conflict do nothing",
        low,
        high,
        at,
        account_id
    );
    if said.execute(&mut **tx).await?.rows_affected() == 0 {
        return Ok(());
    }
    let entry = Entry {
        actor,
        verb: "told apart",
        subject: "person",
        subject_id: Some(one.id),
        event_id: None,
        title: &one.details.name,
        before: None,
        after: Some(json!({"is not": other.details.name})),
    };
    record(tx, now, entry);
    Ok(())
}
