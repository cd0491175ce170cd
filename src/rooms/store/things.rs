//! The items of both rooms.

use super::reading::{known, number};
use crate::error::Result;
use crate::rooms::{Details, Hazard, Kind, Room, Size, Source, Thing, ThingState, Unit};
use sqlx::SqliteConnection;

struct Row {
    id: i64,
    event_id: i64,
    room: String,
    kind: String,
    what: String,
    model: String,
    material: String,
    size_1: Option<i64>,
    size_2: Option<i64>,
    size_3: Option<i64>,
    size_unit: String,
    position: String,
    condition: String,
    quantity: i64,
    source: String,
    gift_id: Option<i64>,
    by_whom: String,
    state: String,
    hazards: String,
    photo_id: Option<i64>,
    version: i64,
}

impl Row {
    fn thing(self) -> Result<Thing> {
        let length = |typed: Option<i64>| typed.map(number).transpose();
        let lengths = [length(self.size_1)?, length(self.size_2)?, length(self.size_3)?];
        let hazards: Vec<String> = serde_json::from_str(&self.hazards)?;
        let details = Details {
            room: known::<Room>(&self.room)?,
            kind: known::<Kind>(&self.kind)?,
            what: self.what,
            model: self.model,
            material: self.material,
            size: Size { lengths, unit: known::<Unit>(&self.size_unit)? },
            position: self.position,
            condition: self.condition,
            quantity: number(self.quantity)?,
            source: known::<Source>(&self.source)?,
            gift_id: self.gift_id,
            by_whom: self.by_whom,
            state: known::<ThingState>(&self.state)?,
            hazards: hazards.iter().map(|text| known::<Hazard>(text)).collect::<Result<_>>()?,
        };
        Ok(Thing { id: self.id, event_id: self.event_id, details, photo_id: self.photo_id, version: self.version })
    }
}

/// All items of an event, the ones in place first, so that they are paired with each other
/// before others of their type.
pub async fn of_event(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Thing>> {
    let rows = sqlx::query_as!(
        Row,
        r#"select id as "id!", event_id, room, kind, what, model, material, size_1, size_2, size_3, size_unit, position,
                  condition, quantity, source, gift_id, by_whom, state, hazards, photo_id, version
           from room_thing where event_id = ?
           order by case state when 'in place' then 1 when 'here' then 2 when 'promised' then 3 else 4 end, id"#,
        event_id
    );
    rows.fetch_all(db).await?.into_iter().map(Row::thing).collect()
}

/// One item of an event.
pub(in crate::rooms) async fn find(db: &mut SqliteConnection, event_id: i64, id: i64) -> Result<Option<Thing>> {
    let row = sqlx::query_as!(
        Row,
        r#"select id as "id!", event_id, room, kind, what, model, material, size_1, size_2, size_3, size_unit, position,
                  condition, quantity, source, gift_id, by_whom, state, hazards, photo_id, version
           from room_thing where id = ? and event_id = ?"#,
        id,
        event_id
    );
    row.fetch_optional(db).await?.map(Row::thing).transpose()
}
