//! The size tolerance, and how many extra building parts to get.

use super::entry::entry;
use super::reading::{known, number};
use crate::calc::pairs::{Tolerance, USUAL};
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::rooms::{Length, Unit};
use serde_json::json;
use sqlx::SqliteConnection;
use time::OffsetDateTime;

/// The size tolerance, and how many extra building parts to get.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RoomSettings {
    pub percent: u32,
    pub length: Length,
    /// Percent on top of what both rooms need.
    pub spare: u32,
    pub version: i64,
}

impl RoomSettings {
    /// The defaults. The extra is common practice, too.
    pub const USUAL: Self = Self {
        percent: USUAL.percent,
        length: Length { tenths: USUAL.length, unit: Unit::Centimetre },
        spare: 10,
        version: 0,
    };

    #[must_use]
    pub fn tolerance(&self) -> Tolerance {
        Tolerance { percent: self.percent, length: self.length.tenths }
    }
}

pub(in crate::rooms) async fn settings(db: &mut SqliteConnection, event_id: i64) -> Result<RoomSettings> {
    let row = sqlx::query!("select percent, length, unit, spare, version from room_habit where event_id = ?", event_id);
    let Some(row) = row.fetch_optional(db).await? else { return Ok(RoomSettings::USUAL) };
    Ok(RoomSettings {
        percent: number(row.percent)?,
        length: Length { tenths: number(row.length)?, unit: known(&row.unit)? },
        spare: number(row.spare)?,
        version: row.version,
    })
}

/// False if someone else changed them in the meantime.
pub(in crate::rooms) async fn save_settings(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    new: &RoomSettings,
    now: OffsetDateTime,
) -> Result<bool> {
    let old = settings(tx, event_id).await?;
    if old.version != new.version {
        return Ok(false);
    }
    let (unit, version) = (new.length.unit.as_str(), new.version + 1);
    sqlx::query!(
        "insert into room_habit (event_id, percent, length, unit, spare, version) values (?, ?, ?, ?, ?, ?)
         on conflict (event_id) do update set percent = excluded.percent, length = excluded.length,
            unit = excluded.unit, spare = excluded.spare, version = excluded.version",
        event_id,
        new.percent,
        new.length.tenths,
        unit,
        new.spare,
        version
    )
    .execute(&mut **tx)
    .await?;
    let journaled = |settings: &RoomSettings| {
        let percent = |number| format!("{number}%");
        json!({
            "percent of the size": percent(settings.percent),
            "length": settings.length.typed(),
            "extra parts": percent(settings.spare),
        })
    };
    let entry =
        Entry { subject: "tolerance", subject_id: None, ..entry(actor, "changed", event_id, 0, "the two rooms") };
    record(tx, now, Entry { before: Some(journaled(&old)), after: Some(journaled(new)), ..entry });
    Ok(true)
}
