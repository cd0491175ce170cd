//! Press contacts who are merged, and those whose data is erased.

use crate::db::Tx;
use crate::error::Result;
use crate::people::Erasure;
use serde::{Deserialize, Serialize};
use serde_json::Value;

/// The outlets of events that someone is responsible for.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
struct Owned {
    owned_events: Vec<i64>,
    /// One for each of the events.
    outlets: Vec<i64>,
}

/// Makes another record of the same person responsible for their outlets, and returns which.
pub(super) async fn reassign(tx: &mut Tx, from: i64, to: i64) -> Result<Value> {
    let owned = sqlx::query!(
        r#"update press_listing set owner_id = ? where owner_id = ?
           returning event_id as "event_id!", outlet_id as "outlet_id!""#,
        to,
        from
    );
    let owned = owned.fetch_all(&mut **tx).await?;
    let (owned_events, outlets) = owned.iter().map(|row| (row.event_id, row.outlet_id)).unzip();
    Ok(serde_json::to_value(Owned { owned_events, outlets })?)
}

/// Undoes it.
pub(super) async fn undo(tx: &mut Tx, owned: Value, from: i64, to: i64) -> Result<()> {
    let owned: Owned = serde_json::from_value(owned)?;
    for (event, outlet) in owned.owned_events.iter().zip(&owned.outlets) {
        sqlx::query!(
            "update press_listing set owner_id = ? where event_id = ? and outlet_id = ? and owner_id = ?",
            to,
            event,
            outlet,
            from
        )
        .execute(&mut **tx)
        .await?;
    }
    Ok(())
}

/// Erases what one person said, promised and wrote about a text, and removes them from their
/// outlets. That someone there was contacted or read it, and when, stays.
pub(super) async fn blank(tx: &mut Tx, erasure: &Erasure) -> Result<()> {
    let people = erasure.rows_json();
    sqlx::query!(
        "update outreach set words = 'Forgotten.', promised = '', follow_up_on = null, follow_up_by = null
         where person_id in (select value from json_each(?))",
        people
    )
    .execute(&mut **tx)
    .await?;
    sqlx::query!(
        "update outlet_contact set part = '', left_at = coalesce(left_at, created_at)
         where person_id in (select value from json_each(?))",
        people
    )
    .execute(&mut **tx)
    .await?;
    sqlx::query!(
        "update paper_reading set note = '', token_hash = null where person_id in (select value from json_each(?))",
        people
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}
