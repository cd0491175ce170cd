//! Adding and changing events.

use super::row::Columns;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::events::{Details, Event, snapshot};
use serde_json::json;
use time::OffsetDateTime;

/// Why an event was not changed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Refused {
    /// Someone else changed it in the meantime.
    Stale,
    /// It is gone.
    Gone,
}

/// Adds an event and makes it the current one.
pub async fn create(tx: &mut Tx, actor: Actor, details: &Details, now: OffsetDateTime) -> Result<i64> {
    sqlx::query!("update event set is_current = 0 where is_current = 1").execute(&mut **tx).await?;
    let (row, visitors) = (Columns::of(details), &details.visitors);
    let at = now.unix_timestamp();
    let id = sqlx::query!(
        "insert into event (name, site, zone, burn_on, burn_time, rain_on, format, audience, weekdays, address,
                            latitude, longitude, parking, clothing, is_current, created_at)
         values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, 1, ?)",
        details.name,
        details.site,
        row.zone,
        details.burn_on,
        row.burn_time,
        details.rain_on,
        row.format,
        details.audience,
        row.weekdays,
        visitors.address,
        row.latitude,
        row.longitude,
        visitors.parking,
        visitors.clothing,
        at
    )
    .execute(&mut **tx)
    .await?
    .last_insert_rowid();
    record(tx, now, entry(actor, "added", id, &details.name, None, Some(details)));
    Ok(id)
}

/// Changes an event, unless someone else did in the meantime. Counts up its date
/// revision if burn day changes, and its facts revision if anything changes that
/// people are told.
pub async fn change(
    tx: &mut Tx,
    actor: Actor,
    old: &Event,
    new: &Event,
    now: OffsetDateTime,
) -> Result<Result<(), Refused>> {
    let details = &new.details;
    let (row, visitors) = (Columns::of(details), &details.visitors);
    let changed = sqlx::query!(
        "update event set name = ?, site = ?, zone = ?, burn_on = ?, burn_time = ?, rain_on = ?, format = ?,
                audience = ?, weekdays = ?, address = ?, latitude = ?, longitude = ?, parking = ?, clothing = ?,
                date_revision = ?, facts_revision = ?, version = ?
         where id = ? and version = ?",
        details.name,
        details.site,
        row.zone,
        details.burn_on,
        row.burn_time,
        details.rain_on,
        row.format,
        details.audience,
        row.weekdays,
        visitors.address,
        row.latitude,
        row.longitude,
        visitors.parking,
        visitors.clothing,
        new.date_revision,
        new.facts_revision,
        new.version,
        old.id,
        old.version
    )
    .execute(&mut **tx)
    .await?
    .rows_affected();
    if changed == 0 {
        return Ok(Err(Refused::Stale));
    }
    let moves = new.date_revision != old.date_revision;
    let verb = if moves { "changed the date of" } else { "changed" };
    let mut entry = entry(actor, verb, old.id, &details.name, Some(&old.details), Some(details));
    if moves {
        for (side, event) in [(&mut entry.before, old), (&mut entry.after, new)] {
            if let Some(side) = side {
                side["date version"] = json!(event.date_revision);
            }
        }
    }
    record(tx, now, entry);
    Ok(Ok(()))
}

/// Makes this the event the department is working on now.
pub async fn make_current(tx: &mut Tx, actor: Actor, event: &Event, now: OffsetDateTime) -> Result<()> {
    sqlx::query!("update event set is_current = 0 where is_current = 1").execute(&mut **tx).await?;
    sqlx::query!("update event set is_current = 1 where id = ?", event.id).execute(&mut **tx).await?;
    record(tx, now, entry(actor, "chose as the current event", event.id, &event.details.name, None, None));
    Ok(())
}

fn entry<'a>(
    actor: Actor,
    verb: &'static str,
    id: i64,
    title: &'a str,
    before: Option<&Details>,
    after: Option<&Details>,
) -> Entry<'a> {
    Entry {
        actor,
        verb,
        subject: "event",
        subject_id: Some(id),
        event_id: Some(id),
        title,
        before: before.map(snapshot),
        after: after.map(snapshot),
    }
}
