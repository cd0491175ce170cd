//! How large the rooms are.

use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::rooms::drawn::place::Frame;
use crate::rooms::feet;
use serde_json::{Value, json};
use sqlx::SqliteConnection;
use time::OffsetDateTime;

/// How large the rooms of an event are, if someone entered it.
pub(in crate::rooms::drawn) async fn frame(db: &mut SqliteConnection, event_id: i64) -> Result<Option<Frame>> {
    let row = sqlx::query!(
        "select width, depth, height, rod, panels, spare, version from room_frame where event_id = ?",
        event_id
    );
    let row = row.fetch_optional(db).await?;
    row.map(|row| {
        Ok(Frame {
            width: row.width,
            depth: row.depth,
            height: row.height,
            rod: row.rod,
            panels: row.panels,
            spare: u32::try_from(row.spare)?,
            version: row.version,
        })
    })
    .transpose()
}

fn framed(frame: &Frame) -> Value {
    json!({
        "width": feet(frame.width),
        "depth": feet(frame.depth),
        "height": feet(frame.height),
        "rods": feet(frame.rod),
        "panels": feet(frame.panels),
        "spare, percent": frame.spare,
    })
}

/// Saves how large the rooms are. False if someone else changed it since that version (0 for
/// none).
pub async fn set_frame(tx: &mut Tx, actor: Actor, event_id: i64, new: &Frame, now: OffsetDateTime) -> Result<bool> {
    let old = frame(tx, event_id).await?;
    if old.map_or(0, |old| old.version) != new.version {
        return Ok(false);
    }
    sqlx::query!(
        "insert into room_frame (event_id, width, depth, height, rod, panels, spare) values (?, ?, ?, ?, ?, ?, ?)
         on conflict (event_id) do update
         set width = excluded.width, depth = excluded.depth, height = excluded.height, rod = excluded.rod,
             panels = excluded.panels, spare = excluded.spare, version = version + 1",
        event_id,
        new.width,
        new.depth,
        new.height,
        new.rod,
        new.panels,
        new.spare
    )
    .execute(&mut **tx)
    .await?;
    let entry = Entry {
        actor,
        verb: "changed",
        subject: "room drawing",
        subject_id: None,
        event_id: Some(event_id),
        title: "the size of the rooms",
        before: old.as_ref().map(framed),
        after: Some(framed(new)),
    };
    record(tx, now, entry);
    Ok(true)
}
