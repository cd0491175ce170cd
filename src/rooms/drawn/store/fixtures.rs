//! What is built into the rooms and is on no list.

use super::places::placed;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::rooms::drawn::place::{Built, Place};
use serde_json::Value;
use sqlx::SqliteConnection;
use std::collections::HashMap;
use time::OffsetDateTime;

/// The built parts that are drawn, by their numbers.
pub(in crate::rooms::drawn) async fn fixtures(db: &mut SqliteConnection, event_id: i64) -> Result<HashMap<i64, Built>> {
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
pub(in crate::rooms::drawn) async fn unbuild(
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
