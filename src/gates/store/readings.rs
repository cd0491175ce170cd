//! Readings, which are only added.

use super::entry::entry;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::gates::gate::Gate;
use crate::gates::reading::{Air, Noted, Reading};
use serde_json::json;
use sqlx::SqliteConnection;
use time::OffsetDateTime;

/// All readings for an event's gates, newest first.
pub async fn readings(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Reading>> {
    let rows = sqlx::query!(
        r#"select r.id as "id!", r.gate_id, r.value, r.temperature, r.humidity, r.is_forecast as "is_forecast: bool",
                  r.note, r.at, r.noted_at, r.device, p.name as by
           from gate_reading r join gate g on g.id = r.gate_id join account a on a.id = r.noted_by
                join person p on p.id = a.person_id
           where g.event_id = ? and g.removed_at is null order by r.at desc, r.id desc"#,
        event_id
    );
    let rows = rows.fetch_all(db).await?.into_iter().map(|row| {
        let air = row.temperature.zip(row.humidity);
        Ok(Reading {
            id: row.id,
            gate_id: row.gate_id,
            noted: Noted {
                value: row.value,
                air: air.map(|(temperature, humidity)| Air { temperature, humidity }),
                is_forecast: row.is_forecast,
                note: row.note,
                at: OffsetDateTime::from_unix_timestamp(row.at)?,
            },
            noted_at: OffsetDateTime::from_unix_timestamp(row.noted_at)?,
            by: row.by,
            device: row.device,
        })
    });
    rows.collect()
}

/// Adds a reading, with the words that the journal has for it.
pub async fn add_reading(
    tx: &mut Tx,
    account: i64,
    gate: &Gate,
    new: &Noted,
    device: &str,
    now: OffsetDateTime,
) -> Result<()> {
    let (at, noted_at) = (new.at.unix_timestamp(), now.unix_timestamp());
    let (temperature, humidity) = (new.air.map(|air| air.temperature), new.air.map(|air| air.humidity));
    sqlx::query!(
        "insert into gate_reading (gate_id, value, temperature, humidity, is_forecast, note, at, noted_at, noted_by,
                                   device)
         values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        gate.id,
        new.value,
        temperature,
        humidity,
        new.is_forecast,
        new.note,
        at,
        noted_at,
        account,
        device
    )
    .execute(&mut **tx)
    .await?;
    let verb = if new.is_forecast { "noted a forecast for" } else { "read" };
    let entry = entry(Actor::Account(account), verb, gate.event_id, gate.id, &gate.details.name);
    let after = json!({"reading": gate.details.says_value(new.value), "note": new.note});
    record(tx, now, Entry { after: Some(after), ..entry });
    Ok(())
}
