//! Adding, changing, and removing items, and their photos.

use super::entry::entry;
use super::things::find;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::photos::{self, Taken};
use crate::rooms::{Details, Hazard};
use serde_json::{Value as Json, json};
use time::OffsetDateTime;

fn words_of(hazards: &[Hazard]) -> Vec<&'static str> {
    hazards.iter().map(|hazard| hazard.as_str()).collect()
}

fn snapshot(details: &Details) -> Json {
    json!({
        "room": details.room.as_str(),
        "kind": details.kind.as_str(),
        "what": details.what,
        "model": details.model,
        "material": details.material,
        "size": details.size.typed(),
        "position": details.position,
        "condition": details.condition,
        "quantity": details.quantity,
        "source": details.source.as_str(),
        "provided by": details.by_whom,
        "status": details.state.label(),
        "fuel warnings": words_of(&details.hazards).join(", "),
    })
}

fn title(details: &Details) -> String {
    format!("{}, {}", details.says(), details.room)
}

/// Adds an item and returns its number.
pub async fn add(tx: &mut Tx, actor: Actor, event_id: i64, details: &Details, now: OffsetDateTime) -> Result<i64> {
    let [size_1, size_2, size_3] = details.size.lengths;
    let (room, kind, unit) = (details.room.as_str(), details.kind.as_str(), details.size.unit.as_str());
    let (source, state) = (details.source.as_str(), details.state.as_str());
    let hazards = json!(words_of(&details.hazards)).to_string();
    let id = sqlx::query!(
        "insert into room_thing (event_id, room, kind, what, model, material, size_1, size_2, size_3, size_unit, position,
                                 condition, quantity, source, gift_id, by_whom, state, hazards)
         values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        event_id,
        room,
        kind,
        details.what,
        details.model,
        details.material,
        size_1,
        size_2,
        size_3,
        unit,
        details.position,
        details.condition,
        details.quantity,
        source,
        details.gift_id,
        details.by_whom,
        state,
        hazards
    )
    .execute(&mut **tx)
    .await?
    .last_insert_rowid();
    let title = title(details);
    record(tx, now, Entry { after: Some(snapshot(details)), ..entry(actor, "added", event_id, id, &title) });
    Ok(id)
}

/// Changes an item. False if someone else did in the meantime, or it is gone.
pub(in crate::rooms) async fn save(
    tx: &mut Tx,
    actor: Actor,
    (event_id, id): (i64, i64),
    new: &Details,
    version: i64,
    now: OffsetDateTime,
) -> Result<bool> {
    let old = find(tx, event_id, id).await?.filter(|old| old.version == version);
    let Some(old) = old else { return Ok(false) };
    let [size_1, size_2, size_3] = new.size.lengths;
    let (room, kind, unit) = (new.room.as_str(), new.kind.as_str(), new.size.unit.as_str());
    let (source, state) = (new.source.as_str(), new.state.as_str());
    let hazards = json!(words_of(&new.hazards)).to_string();
    sqlx::query!(
        "update room_thing set room = ?, kind = ?, what = ?, model = ?, material = ?, size_1 = ?, size_2 = ?, size_3 = ?,
                size_unit = ?, position = ?, condition = ?, quantity = ?, source = ?, gift_id = ?, by_whom = ?, state = ?,
                hazards = ?, version = version + 1
         where id = ?",
        room,
        kind,
        new.what,
        new.model,
        new.material,
        size_1,
        size_2,
        size_3,
        unit,
        new.position,
        new.condition,
        new.quantity,
        source,
        new.gift_id,
        new.by_whom,
        state,
        hazards,
        id
    )
    .execute(&mut **tx)
    .await?;
    let (before, after) = (Some(snapshot(&old.details)), Some(snapshot(new)));
    let title = title(new);
    record(tx, now, Entry { before, after, ..entry(actor, "changed", event_id, id, &title) });
    Ok(true)
}

/// Sets or removes the photo of an item. False if someone changed the item in the meantime.
pub async fn set_photo(
    tx: &mut Tx,
    actor: Actor,
    (event_id, id): (i64, i64),
    (taken, version): (Option<&Taken>, i64),
    now: OffsetDateTime,
) -> Result<bool> {
    let old = find(tx, event_id, id).await?.filter(|old| old.version == version);
    let Some(old) = old else { return Ok(false) };
    let photo_id = match taken {
        Some(taken) => Some(photos::keep(tx, taken, actor, now).await?),
        None => None,
    };
    sqlx::query!("update room_thing set photo_id = ?, version = version + 1 where id = ?", photo_id, id)
        .execute(&mut **tx)
        .await?;
    if let Some(photo) = old.photo_id {
        photos::drop(tx, photo, actor, now).await?;
    }
    let verb = if photo_id.is_some() { "added a photo of" } else { "removed the photo of" };
    let title = title(&old.details);
    record(tx, now, entry(actor, verb, event_id, id, &title));
    Ok(true)
}

/// Removes an item. False if someone changed it in the meantime.
pub(in crate::rooms) async fn remove(
    tx: &mut Tx,
    actor: Actor,
    (event_id, id): (i64, i64),
    version: i64,
    now: OffsetDateTime,
) -> Result<bool> {
    let old = find(tx, event_id, id).await?.filter(|old| old.version == version);
    let Some(old) = old else { return Ok(false) };
    sqlx::query!("delete from room_thing where id = ?", id).execute(&mut **tx).await?;
    if let Some(photo) = old.photo_id {
        photos::drop(tx, photo, actor, now).await?;
    }
    let title = title(&old.details);
    record(tx, now, Entry { before: Some(snapshot(&old.details)), ..entry(actor, "removed", event_id, id, &title) });
    Ok(true)
}
