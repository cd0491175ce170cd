//! All SQL of the drawn rooms.

use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::rooms::feet;
use serde_json::{Value, json};
use sqlx::SqliteConnection;
use std::collections::HashMap;
use time::OffsetDateTime;

/// The inside of both rooms, in meters, and what is cut for them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frame {
    pub width: f64,
    pub depth: f64,
    pub height: f64,
    /// The curtain rods above the floor.
    pub rod: f64,
    /// How far the clear panels reach down from the top of the front; 0 without panels.
    pub panels: f64,
    /// Spare sheets, in percent.
    pub spare: u32,
    pub version: i64,
}

/// Where an item stands in its room, in meters and degrees.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    pub x: f64,
    pub y: f64,
    /// Its underside above the floor.
    pub above: f64,
    pub turn: f64,
    pub version: i64,
}

/// How large the rooms of an event are, if someone entered it.
///
/// # Errors
/// The store's.
pub(super) async fn frame(db: &mut SqliteConnection, event_id: i64) -> Result<Option<Frame>> {
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

/// The places of all items of an event, by the item's number.
///
/// # Errors
/// The store's.
pub(super) async fn places(db: &mut SqliteConnection, event_id: i64) -> Result<HashMap<i64, Place>> {
    let rows = sqlx::query!(
        "select p.thing_id, p.x, p.y, p.above, p.turn, p.version
         from room_place p join room_thing t on t.id = p.thing_id where t.event_id = ?",
        event_id
    );
    let rows = rows.fetch_all(db).await?.into_iter();
    Ok(rows
        .map(|row| (row.thing_id, Place { x: row.x, y: row.y, above: row.above, turn: row.turn, version: row.version }))
        .collect())
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
///
/// # Errors
/// The store's.
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

fn placed(place: &Place) -> Value {
    json!({
        "from the left wall": feet(place.x),
        "from the back wall": feet(place.y),
        "above the floor": feet(place.above),
        "rotation, degrees": (place.turn * 10.0).round() / 10.0,
    })
}

/// Puts an item at a place. `called` is the item's number and what it is called. False if
/// someone else moved it since that version (0 if it had no place).
///
/// # Errors
/// The store's.
pub async fn place(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    (thing_id, called): (i64, &str),
    new: &Place,
    now: OffsetDateTime,
) -> Result<bool> {
    let old = places(tx, event_id).await?.remove(&thing_id);
    if old.map_or(0, |old| old.version) != new.version {
        return Ok(false);
    }
    // Taken off and placed again, it must not pass for what it was.
    let first = now.unix_timestamp();
    sqlx::query!(
        "insert into room_place (thing_id, x, y, above, turn, version) values (?, ?, ?, ?, ?, ?)
         on conflict (thing_id) do update
         set x = excluded.x, y = excluded.y, above = excluded.above, turn = excluded.turn, version = version + 1",
        thing_id,
        new.x,
        new.y,
        new.above,
        new.turn,
        first
    )
    .execute(&mut **tx)
    .await?;
    let entry = Entry {
        actor,
        verb: "placed",
        subject: "thing",
        subject_id: Some(thing_id),
        event_id: Some(event_id),
        title: called,
        before: old.as_ref().map(placed),
        after: Some(placed(new)),
    };
    record(tx, now, entry);
    Ok(true)
}

/// A built part as it is drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Built {
    pub place: Place,
    /// How a clear panel is held; empty if nobody said.
    pub held: String,
    pub is_built: bool,
}

/// The built parts that are drawn, by their numbers.
///
/// # Errors
/// The store's.
pub(super) async fn fixtures(db: &mut SqliteConnection, event_id: i64) -> Result<HashMap<i64, Built>> {
    let rows = sqlx::query!(
        r#"select number, x, y, above, turn, held, is_built as "is_built: bool", version
           from room_fixture where event_id = ?"#,
        event_id
    );
    let rows = rows.fetch_all(db).await?.into_iter();
    let built = rows.map(|row| {
        let place = Place { x: row.x, y: row.y, above: row.above, turn: row.turn, version: row.version };
        (row.number, Built { place, held: row.held, is_built: row.is_built })
    });
    Ok(built.collect())
}

fn as_built(built: &Built) -> Value {
    let mut all = placed(&built.place);
    all["held"] = Value::from(built.held.as_str());
    all["built"] = Value::from(if built.is_built { "yes" } else { "no" });
    all
}

/// Draws a built part. `called` is its number and what it is called. False if someone else
/// changed it since that version (0 if it had no place).
///
/// # Errors
/// The store's.
pub async fn build(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    (number, called): (i64, &str),
    new: &Built,
    now: OffsetDateTime,
) -> Result<bool> {
    let old = fixtures(tx, event_id).await?.remove(&number);
    if old.as_ref().map_or(0, |old| old.place.version) != new.place.version {
        return Ok(false);
    }
    let first = now.unix_timestamp();
    sqlx::query!(
        "insert into room_fixture (event_id, number, x, y, above, turn, held, is_built, version)
         values (?, ?, ?, ?, ?, ?, ?, ?, ?)
         on conflict (event_id, number) do update
         set x = excluded.x, y = excluded.y, above = excluded.above, turn = excluded.turn, held = excluded.held,
             is_built = excluded.is_built, version = version + 1",
        event_id,
        number,
        new.place.x,
        new.place.y,
        new.place.above,
        new.place.turn,
        new.held,
        new.is_built,
        first
    )
    .execute(&mut **tx)
    .await?;
    record(tx, now, drawn(actor, "placed", event_id, called, (old.as_ref().map(as_built), Some(as_built(new)))));
    Ok(true)
}

fn drawn<'a>(
    actor: Actor,
    verb: &'static str,
    event_id: i64,
    title: &'a str,
    (before, after): (Option<Value>, Option<Value>),
) -> Entry<'a> {
    let event_id = Some(event_id);
    Entry { actor, verb, subject: "room drawing", subject_id: None, event_id, title, before, after }
}

/// Takes a built part off the drawing. False if it isn't on it.
///
/// # Errors
/// The store's.
pub(super) async fn unbuild(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    (number, called): (i64, &str),
    now: OffsetDateTime,
) -> Result<bool> {
    let gone = sqlx::query!("delete from room_fixture where event_id = ? and number = ?", event_id, number);
    if gone.execute(&mut **tx).await?.rows_affected() == 0 {
        return Ok(false);
    }
    record(tx, now, drawn(actor, "took off the drawing", event_id, called, (None, None)));
    Ok(true)
}

/// Takes an item off the drawing. False if it isn't on it.
///
/// # Errors
/// The store's.
pub(super) async fn take_off(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    (thing_id, called): (i64, &str),
    now: OffsetDateTime,
) -> Result<bool> {
    let gone = sqlx::query!("delete from room_place where thing_id = ?", thing_id).execute(&mut **tx).await?;
    if gone.rows_affected() == 0 {
        return Ok(false);
    }
    let entry = Entry {
        actor,
        verb: "took off the drawing",
        subject: "thing",
        subject_id: Some(thing_id),
        event_id: Some(event_id),
        title: called,
        before: None,
        after: None,
    };
    record(tx, now, entry);
    Ok(true)
}
