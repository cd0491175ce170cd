//! When decisions are made.

use super::entry::of_decision;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::gates::decision::DecisionTimes;
use crate::web::form;
use crate::web::words;
use anyhow::anyhow;
use serde_json::{Value, json};
use sqlx::SqliteConnection;
use time::OffsetDateTime;

/// When an event's decisions are made.
pub async fn times(db: &mut SqliteConnection, event_id: i64) -> Result<DecisionTimes> {
    let row = sqlx::query!(
        "select two_days, evening, morning, last_minutes, version from decision_time where event_id = ?",
        event_id
    );
    let Some(row) = row.fetch_optional(db).await? else { return Ok(DecisionTimes::default()) };
    let time = |text: &str| form::time_of_day(text).map_err(|_| anyhow!("a time in the store is unreadable: {text}"));
    Ok(DecisionTimes {
        two_days: time(&row.two_days)?,
        evening: time(&row.evening)?,
        morning: time(&row.morning)?,
        last_minutes: u32::try_from(row.last_minutes)?,
        version: row.version,
    })
}

/// Saves them. False if someone else did in the meantime.
pub async fn save_times(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    new: &DecisionTimes,
    now: OffsetDateTime,
) -> Result<bool> {
    let old = times(tx, event_id).await?;
    if old.version != new.version {
        return Ok(false);
    }
    let [two_days, evening, morning] = [new.two_days, new.evening, new.morning].map(words::iso_time);
    sqlx::query!(
        "insert into decision_time (event_id, two_days, evening, morning, last_minutes) values (?, ?, ?, ?, ?)
         on conflict (event_id) do update set two_days = excluded.two_days, evening = excluded.evening,
             morning = excluded.morning, last_minutes = excluded.last_minutes, version = version + 1",
        event_id,
        two_days,
        evening,
        morning,
        new.last_minutes
    )
    .execute(&mut **tx)
    .await?;
    let entry = of_decision(actor, "changed", event_id, "times");
    record(tx, now, Entry { before: Some(journaled(&old)), after: Some(journaled(new)), ..entry });
    Ok(true)
}

fn journaled(times: &DecisionTimes) -> Value {
    json!({
        "two days before": words::iso_time(times.two_days),
        "evening before": words::iso_time(times.evening),
        "morning": words::iso_time(times.morning),
        "minutes before ignition": times.last_minutes,
    })
}
