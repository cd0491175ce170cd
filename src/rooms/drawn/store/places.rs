//! Where the items on the lists stand.

use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::rooms::drawn::place::Place;
use crate::rooms::feet;
use serde_json::{Value, json};
use sqlx::SqliteConnection;
use std::collections::HashMap;
use time::OffsetDateTime;

/// The places of all items of an event, by the item's number.
pub(in crate::rooms::drawn) async fn places(db: &mut SqliteConnection, event_id: i64) -> Result<HashMap<i64, Place>> {
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

pub(super) fn placed(place: &Place) -> Value {
    json!({
        "from the left wall": feet(place.x),
        "from the back wall": feet(place.y),
        "above the floor": feet(place.above),
        "rotation, degrees": (place.turn * 10.0).round() / 10.0,
    })
}

/// Puts an item at a place. `called` is the item's number and what it is called. False if
/// someone else moved it since that version (0 if it had no place).
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

/// Takes an item off the drawing. False if it isn't on it.
pub(in crate::rooms::drawn) async fn take_off(
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
