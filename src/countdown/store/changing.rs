//! Adding, changing, and removing a task.

use super::entry::entry;
use super::reading::read;
use super::rows::{Columns, insert, insert_link};
use crate::countdown::changes::{self, Refused};
use crate::countdown::{Details, Task};
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use std::collections::HashMap;
use time::OffsetDateTime;

/// An event has at most this many tasks: five times the usual plan.
pub const MOST_TASKS: usize = 500;

/// Adds a task. Its links are checked against the current plan.
pub async fn add(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    details: &Details,
    now: OffsetDateTime,
) -> Result<Result<i64, Refused>> {
    let tasks = read(tx, event_id).await?;
    if tasks.len() >= MOST_TASKS {
        return Ok(Err(Refused::Full));
    }
    if let Err(refused) = changes::check(&tasks, None, details) {
        return Ok(Err(refused));
    }
    let id = insert(tx, event_id, None, details, now).await?;
    for link in &details.links {
        insert_link(tx, id, link).await?;
    }
    let after = Some(details.snapshot(titles(&tasks)));
    record(tx, now, Entry { after, ..entry(actor, "added", event_id, id, &details.title) });
    Ok(Ok(id))
}

/// Changes a task, unless someone else did in the meantime.
pub async fn save(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    id: i64,
    details: &Details,
    version: i64,
    now: OffsetDateTime,
) -> Result<Result<(), Refused>> {
    let tasks = read(tx, event_id).await?;
    let Some(old) = tasks.iter().find(|task| task.id == id) else { return Ok(Err(Refused::Gone)) };
    if old.version != version {
        return Ok(Err(Refused::Stale));
    }
    if let Err(refused) = changes::check(&tasks, Some(id), details) {
        return Ok(Err(refused));
    }
    if old.details == *details {
        return Ok(Ok(()));
    }
    let row = Columns::of(tx, details, now).await?;
    sqlx::query!(
        "update task set strand = ?, title = ?, takes = ?, owner_role = ?, owner_id = ?, lead_days = ?, lead_basis = ?,
                duration = ?, duration_basis = ?, rain = ?, version = version + 1 where id = ?",
        row.strand,
        details.title,
        details.takes,
        row.owner,
        row.person,
        details.lead.days,
        row.lead_basis,
        details.duration,
        row.basis,
        row.rain,
        id
    )
    .execute(&mut **tx)
    .await?;
    sqlx::query!("delete from task_link where later_id = ?", id).execute(&mut **tx).await?;
    for link in &details.links {
        insert_link(tx, id, link).await?;
    }
    let before = Some(old.details.snapshot(titles(&tasks)));
    let after = Some(details.snapshot(titles(&tasks)));
    record(tx, now, Entry { before, after, ..entry(actor, "changed", event_id, id, &details.title) });
    Ok(Ok(()))
}

/// Removes a task. Tasks that waited for it now wait for what it waited for.
pub async fn remove(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    id: i64,
    version: i64,
    now: OffsetDateTime,
) -> Result<Result<(), Refused>> {
    let tasks = read(tx, event_id).await?;
    let Some(old) = tasks.iter().find(|task| task.id == id && !task.is_burn) else { return Ok(Err(Refused::Gone)) };
    if old.version != version {
        return Ok(Err(Refused::Stale));
    }
    let left = changes::without(&tasks, id);
    sqlx::query!("delete from task where id = ?", id).execute(&mut **tx).await?;
    for task in &left {
        let had = tasks.iter().find(|before| before.id == task.id).map(|before| &before.details.links);
        for link in task.details.links.iter().filter(|link| had.is_none_or(|had| !had.contains(link))) {
            insert_link(tx, task.id, link).await?;
        }
    }
    let before = Some(old.details.snapshot(titles(&tasks)));
    record(tx, now, Entry { before, ..entry(actor, "removed", event_id, id, &old.details.title) });
    Ok(Ok(()))
}

fn titles(tasks: &[Task]) -> impl Fn(i64) -> String {
    let titles: HashMap<i64, String> = tasks.iter().map(|task| (task.id, task.details.title.clone())).collect();
    move |id| titles.get(&id).cloned().unwrap_or_default()
}
