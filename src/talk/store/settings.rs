//! All SQL of the pace and times.

use super::entry::entry;
use crate::calc::talk::Pace;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::talk::Settings;
use serde_json::{Value as Json, json};
use sqlx::SqliteConnection;
use time::OffsetDateTime;

/// The settings of an event's talk; the usual ones before any are saved.
pub(in crate::talk) async fn settings(db: &mut SqliteConnection, event_id: i64) -> Result<Settings> {
    let row = sqlx::query!(
        "select children, adults, pauses, listen_s, attack_s, clear_min, version from talk where event_id = ?",
        event_id
    );
    let Some(row) = row.fetch_optional(db).await? else { return Ok(Settings::default()) };
    Ok(Settings {
        pace: Pace {
            children: u32::try_from(row.children)?,
            adults: u32::try_from(row.adults)?,
            pauses: u32::try_from(row.pauses)?,
        },
        listen: u32::try_from(row.listen_s)?,
        attack: u32::try_from(row.attack_s)?,
        clear: u32::try_from(row.clear_min)?,
        version: row.version,
    })
}

fn settings_in_history(settings: &Settings) -> Json {
    json!({
        "words a minute to children": settings.pace.children,
        "words a minute to adults": settings.pace.adults,
        "added for pauses": format!("{} %", settings.pace.pauses),
        "quiet after a key moment": format!("{} s", settings.listen),
        "flashover to water": format!("{} s", settings.attack),
        "free before ignition": format!("{} min", settings.clear),
    })
}

/// Saves the settings. False if someone changed them since.
pub(in crate::talk) async fn put_settings(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    new: &Settings,
    now: OffsetDateTime,
) -> Result<bool> {
    let old = settings(tx, event_id).await?;
    if old.version != new.version {
        return Ok(false);
    }
    sqlx::query!(
        "insert into talk (event_id, children, adults, pauses, listen_s, attack_s, clear_min)
         values (?, ?, ?, ?, ?, ?, ?)
         on conflict (event_id) do update
         set children = excluded.children, adults = excluded.adults, pauses = excluded.pauses,
             listen_s = excluded.listen_s, attack_s = excluded.attack_s, clear_min = excluded.clear_min,
             version = version + 1",
        event_id,
        new.pace.children,
        new.pace.adults,
        new.pace.pauses,
        new.listen,
        new.attack,
        new.clear
    )
    .execute(&mut **tx)
    .await?;
    let (before, after) = (Some(settings_in_history(&old)), Some(settings_in_history(new)));
    record(tx, now, Entry { before, after, ..entry(actor, "changed", "talk", event_id, "Pace and times of the talk") });
    Ok(true)
}
