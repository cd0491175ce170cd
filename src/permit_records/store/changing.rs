//! Adding, changing, and removing records.

use super::Refused;
use super::journal::{entry, snapshot};
use super::reading::{known_rules, of_event, unchanged};
use super::rows::{insert, person_of, put};
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::permit_records::{Details, PermitId, usual};
use crate::web::words::{self, Reader};
use serde_json::{Value, json};
use time::OffsetDateTime;

/// An event has at most this many records.
const MOST: usize = 100;

/// Adds a record.
pub async fn add(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    details: &Details,
    now: OffsetDateTime,
) -> Result<Result<i64, Refused>> {
    if of_event(tx, event_id).await?.len() >= MOST {
        return Ok(Err(Refused::Full));
    }
    let id = insert(tx, event_id, None, details, now).await?;
    let after = Some(snapshot(details));
    record(tx, now, Entry { after, ..entry(actor, "added", PermitId { event_id, id }, &details.title) });
    Ok(Ok(id))
}

/// Adds the usual records that an event doesn't have, each for its task, with what the
/// department knows about its rule. Returns how many.
pub async fn add_usual(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    task_of: impl Fn(&str) -> Option<i64>,
    now: OffsetDateTime,
) -> Result<usize> {
    let here: Vec<String> = of_event(tx, event_id).await?.into_iter().filter_map(|permit| permit.key).collect();
    let known = known_rules(tx).await?;
    let mut added = 0;
    for usual in usual().iter().filter(|usual| !here.contains(&usual.key)) {
        let Some(task) = task_of(&usual.task) else { continue };
        insert(tx, event_id, Some(&usual.key), &usual.details(task, known.get(&usual.key)), now).await?;
        added += 1;
    }
    if added > 0 {
        let title = words::count(added, "usual permit or notice", "usual permits and notices");
        record(tx, now, Entry { subject_id: None, ..entry(actor, "added", PermitId { event_id, id: 0 }, &title) });
    }
    Ok(added)
}

/// Changes a record, unless someone else did in the meantime. Conditions that change
/// must be read back again.
pub async fn save(
    tx: &mut Tx,
    actor: Actor,
    which: PermitId,
    details: &Details,
    version: i64,
    now: OffsetDateTime,
) -> Result<Result<(), Refused>> {
    let old = match unchanged(tx, which, version).await? {
        Ok(old) => old,
        Err(refused) => return Ok(Err(refused)),
    };
    if old.details == *details {
        return Ok(Ok(()));
    }
    let person_id = person_of(tx, details, Some(&old), now).await?;
    let same_conditions = old.details.conditions == details.conditions;
    put(tx, which.id, details, person_id).await?;
    sqlx::query!("update permit set version = version + 1 where id = ?", which.id).execute(&mut **tx).await?;
    let (mut before, mut after) = (snapshot(&old.details), snapshot(details));
    if let (false, Some((on, _))) = (same_conditions, &old.read_back) {
        sqlx::query!("update permit set read_back_on = null, read_back_by = null where id = ?", which.id)
            .execute(&mut **tx)
            .await?;
        (before["conditions read back"], after["conditions read back"]) = (json!(Reader::App.day(*on)), Value::Null);
    }
    let (before, after) = (Some(before), Some(after));
    record(tx, now, Entry { before, after, ..entry(actor, "changed", which, &details.title) });
    Ok(Ok(()))
}

/// Removes a record, unless someone changed it in the meantime.
pub async fn remove(
    tx: &mut Tx,
    actor: Actor,
    which: PermitId,
    version: i64,
    now: OffsetDateTime,
) -> Result<Result<(), Refused>> {
    let old = match unchanged(tx, which, version).await? {
        Ok(old) => old,
        Err(refused) => return Ok(Err(refused)),
    };
    sqlx::query!("delete from permit where id = ?", which.id).execute(&mut **tx).await?;
    let before = Some(snapshot(&old.details));
    record(tx, now, Entry { before, ..entry(actor, "removed", which, &old.details.title) });
    Ok(Ok(()))
}
