//! All SQL of what the letters say about the day.

use super::entry::entry;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::events::Event;
use crate::thanks::Day;
use crate::thanks::day::seconds;
use serde_json::{Value, json};
use sqlx::SqliteConnection;
use time::OffsetDateTime;

/// What an event's letters say about the day.
pub(in crate::thanks) async fn day(db: &mut SqliteConnection, event_id: i64) -> Result<Day> {
    let row = sqlx::query!(
        "select signed_by, signed_as, came, alarm_s, sprinkler_s, flashover_s, result, version from thanks_day
         where event_id = ?",
        event_id
    )
    .fetch_optional(db)
    .await?;
    let Some(row) = row else { return Ok(Day::default()) };
    let number = |number: Option<i64>| number.map(u32::try_from).transpose();
    Ok(Day {
        signed_by: row.signed_by,
        signed_as: row.signed_as,
        came: number(row.came)?,
        alarm: number(row.alarm_s)?,
        sprinkler: number(row.sprinkler_s)?,
        flashover: number(row.flashover_s)?,
        result: row.result,
        version: row.version,
    })
}

fn snapshot(day: &Day) -> Value {
    json!({
        "signed by": day.signed_by,
        "signed as": day.signed_as,
        "people who came": day.came,
        "smoke alarm": day.alarm.map(seconds),
        "sprinkler": day.sprinkler.map(seconds),
        "flashover": day.flashover.map(seconds),
        "result": day.result,
    })
}

/// Saves what the letters say about the day. False if someone else changed it in the
/// meantime.
pub async fn save_day(tx: &mut Tx, actor: Actor, event: &Event, new: &Day, now: OffsetDateTime) -> Result<bool> {
    let old = day(tx, event.id).await?;
    if old.version != new.version {
        return Ok(false);
    }
    sqlx::query!(
        "insert into thanks_day (event_id, signed_by, signed_as, came, alarm_s, sprinkler_s, flashover_s, result)
         values (?, ?, ?, ?, ?, ?, ?, ?)
         on conflict (event_id) do update
         set signed_by = excluded.signed_by, signed_as = excluded.signed_as, came = excluded.came,
             alarm_s = excluded.alarm_s, sprinkler_s = excluded.sprinkler_s, flashover_s = excluded.flashover_s,
             result = excluded.result, version = version + 1",
        event.id,
        new.signed_by,
        new.signed_as,
        new.came,
        new.alarm,
        new.sprinkler,
        new.flashover,
        new.result
    )
    .execute(&mut **tx)
    .await?;
    let (before, after) = (Some(snapshot(&old)), Some(snapshot(new)));
    let entry = entry(actor, "changed", event.id, "everyone: figures and signature");
    record(tx, now, Entry { before, after, ..entry });
    Ok(true)
}
