//! All SQL of the objectives.

use super::entry::entry;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::talk::Objective;
use serde_json::{Value as Json, json};
use sqlx::SqliteConnection;
use time::OffsetDateTime;

/// The objectives of an event's lesson, in order.
pub async fn objectives(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Objective>> {
    let rows = sqlx::query!(
        r#"select id, text, message, source, edition, item, is_for_press as "is_for_press: bool", version
           from talk_objective where event_id = ? order by place, id"#,
        event_id
    );
    let rows = rows.fetch_all(db).await?.into_iter().map(|row| Objective {
        id: row.id,
        text: row.text,
        message: row.message,
        source: row.source,
        edition: row.edition,
        item: row.item,
        is_for_press: row.is_for_press,
        version: row.version,
    });
    Ok(rows.collect())
}

fn objective_in_history(objective: &Objective) -> Json {
    json!({
        "objective": objective.text,
        "message": objective.message,
        "source": objective.cited(),
        "survey question": objective.item,
        "for the press": if objective.is_for_press { "yes" } else { "no" },
    })
}

/// Adds an objective at the end, and returns its number.
pub async fn add_objective(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    new: &Objective,
    now: OffsetDateTime,
) -> Result<i64> {
    let id = sqlx::query!(
        "insert into talk_objective (event_id, place, text, message, source, edition, item, is_for_press)
         values (?, (select coalesce(max(place), 0) + 1 from talk_objective where event_id = ?), ?, ?, ?, ?, ?, ?)",
        event_id,
        event_id,
        new.text,
        new.message,
        new.source,
        new.edition,
        new.item,
        new.is_for_press
    );
    let id = id.execute(&mut **tx).await?.last_insert_rowid();
    let after = Some(objective_in_history(new));
    let entry = entry(actor, "added", "learning objective", event_id, &new.text);
    record(tx, now, Entry { subject_id: Some(id), after, ..entry });
    Ok(id)
}

/// Saves an objective with its number and version. False if someone changed or removed it
/// since.
pub(in crate::talk) async fn put_objective(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    new: &Objective,
    now: OffsetDateTime,
) -> Result<bool> {
    let Some(old) = objectives(tx, event_id).await?.into_iter().find(|one| one.id == new.id) else { return Ok(false) };
    if old.version != new.version {
        return Ok(false);
    }
    sqlx::query!(
        "update talk_objective
         set text = ?, message = ?, source = ?, edition = ?, item = ?, is_for_press = ?, version = version + 1
         where id = ? and event_id = ?",
        new.text,
        new.message,
        new.source,
        new.edition,
        new.item,
        new.is_for_press,
        new.id,
        event_id
    )
    .execute(&mut **tx)
    .await?;
    let (before, after) = (Some(objective_in_history(&old)), Some(objective_in_history(new)));
    let entry = entry(actor, "changed", "learning objective", event_id, &new.text);
    record(tx, now, Entry { subject_id: Some(new.id), before, after, ..entry });
    Ok(true)
}

/// Removes an objective; its lines stay. False if it is gone, or changed since.
pub(in crate::talk) async fn remove_objective(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    (id, version): (i64, i64),
    now: OffsetDateTime,
) -> Result<bool> {
    let old = objectives(tx, event_id).await?.into_iter().find(|one| one.id == id && one.version == version);
    let Some(old) = old else { return Ok(false) };
    sqlx::query!("delete from talk_objective where id = ? and event_id = ?", id, event_id).execute(&mut **tx).await?;
    let before = Some(objective_in_history(&old));
    let entry = entry(actor, "removed", "learning objective", event_id, &old.text);
    record(tx, now, Entry { subject_id: Some(id), before, ..entry });
    Ok(true)
}
