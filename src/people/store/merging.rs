//! Making two rows one, and undoing it.

use super::journaled::{entry, read_snapshot, snapshot};
use super::reading::find;
use super::search::write_search;
use super::writing::put;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::people::person::{Details, Person};
use crate::people::references::Moved;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use time::OffsetDateTime;

/// Two rows for the same person, and what the one that stays becomes.
#[derive(Debug, Clone)]
pub struct Merge {
    pub keep: Person,
    pub gone: Person,
    pub details: Details,
}

/// What is needed to undo a merge.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct MergeUndo {
    pub gone: i64,
    /// The version of the row that stayed, after the merge.
    pub version: i64,
    /// What referred to the row that went, and refers to the one that stayed.
    #[serde(flatten)]
    pub moved: Moved,
}

/// Merges two rows into one. Whatever referred to the other row has already been moved.
pub async fn merge(tx: &mut Tx, actor: Actor, merge: &Merge, undo: &MergeUndo, now: OffsetDateTime) -> Result<()> {
    let Merge { keep, gone, details } = merge;
    put(tx, keep, details, now).await?;
    sqlx::query!("update person set merged_into = ?, version = version + 1 where id = ?", keep.id, gone.id)
        .execute(&mut **tx)
        .await?;
    let (mut before, mut after) = (snapshot(&keep.details), snapshot(details));
    before["undo"] = serde_json::to_value(undo)?;
    after["was also"] = Value::from(gone.details.name.as_str());
    let entry = Entry { before: Some(before), after: Some(after), ..entry(actor, "merged", keep.id, &details.name) };
    record(tx, now, entry);
    Ok(())
}

/// Undoes a merge. The other row is as it was, and so is the one that stayed, unless it was
/// changed since. None if the merge was already undone or someone's data was erased;
/// otherwise whether the row that stayed is as it was.
pub async fn separate(
    tx: &mut Tx,
    actor: Actor,
    keep: i64,
    undo: &MergeUndo,
    old: &Value,
    now: OffsetDateTime,
) -> Result<Option<bool>> {
    let Some(stands) = find(tx, keep).await? else { return Ok(None) };
    let back = sqlx::query!(
        "update person set merged_into = null, version = version + 1
         where id = ? and merged_into = ? and forgotten_at is null",
        undo.gone,
        keep
    );
    if back.execute(&mut **tx).await?.rows_affected() == 0 {
        return Ok(None);
    }
    write_search(tx, undo.gone).await?;
    let as_before = stands.version == undo.version;
    let details = if as_before { read_snapshot(old) } else { stands.details.clone() };
    put(tx, &stands, &details, now).await?;
    let (before, after) = (Some(snapshot(&stands.details)), Some(snapshot(&details)));
    record(tx, now, Entry { before, after, ..entry(actor, "separated", keep, &details.name) });
    Ok(Some(as_before))
}
