//! The guests of an event: all of them, adding, changing, and removing one.

use super::journaled::{entry, journaled};
use super::row::Row;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::guests::guest::{Details, Guest};
use sqlx::SqliteConnection;
use time::{Date, OffsetDateTime};

/// A guest to add.
#[derive(Debug, Clone, Copy)]
pub struct NewGuest<'a> {
    pub event_id: i64,
    pub person_id: i64,
    /// The person's name, for the journal.
    pub name: &'a str,
    pub details: &'a Details,
}

/// All guests of an event.
pub async fn of_event(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Guest>> {
    let rows = sqlx::query_as!(
        Row,
        r#"select id as "id!", event_id, person_id, side, level, office_id, sponsor_level_id, address, in_own, since,
                  is_former, responsible_id, chased_on as "chased_on: Date", signer_id, seconds, gives, least, priority, microphone,
                  met_by, seat, arrives, parking, clothing, press, also_comes, place, place_reason,
                  day_on as "day_on: Date", is_here, day_deputy, day_deputy_title,
                  day_deputy_phone, day_deputy_mail, version
           from guest where event_id = ? order by id"#,
        event_id
    );
    rows.fetch_all(db).await?.into_iter().map(Row::guest).collect()
}

/// Adds a guest and returns the number; none if the person already is one.
pub async fn add(tx: &mut Tx, actor: Actor, new: &NewGuest<'_>, now: OffsetDateTime) -> Result<Option<i64>> {
    let NewGuest { event_id, person_id, name, details } = *new;
    let (side, level, gives) = (details.side.as_str(), details.level.as_str(), details.gives.as_str());
    let added = sqlx::query!(
        "insert into guest (event_id, person_id, side, level, office_id, sponsor_level_id, address, in_own, since,
                            is_former, responsible_id, seconds, gives, least, priority, microphone, met_by, seat, arrives,
                            parking, clothing, press, also_comes)
         values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
         on conflict (event_id, person_id) do nothing",
        event_id,
        person_id,
        side,
        level,
        details.office,
        details.sponsor_level,
        details.address,
        details.in_own,
        details.since,
        details.is_former,
        details.responsible,
        details.seconds,
        gives,
        details.least,
        details.priority,
        details.microphone,
        details.met_by,
        details.seat,
        details.arrives,
        details.parking,
        details.clothing,
        details.press,
        details.also_comes
    )
    .execute(&mut **tx)
    .await?;
    if added.rows_affected() == 0 {
        return Ok(None);
    }
    let id = added.last_insert_rowid();
    let after = Some(journaled(tx, details).await?);
    record(tx, now, Entry { after, ..entry(actor, "added", (event_id, id), name) });
    Ok(Some(id))
}

/// Changes a guest's settings. False if someone else did in the meantime.
pub(in crate::guests) async fn save(
    tx: &mut Tx,
    actor: Actor,
    (old, name): (&Guest, &str),
    new: &Details,
    now: OffsetDateTime,
) -> Result<bool> {
    let (side, level, gives) = (new.side.as_str(), new.level.as_str(), new.gives.as_str());
    let saved = sqlx::query!(
        "update guest set side = ?, level = ?, office_id = ?, sponsor_level_id = ?, address = ?, in_own = ?, since = ?,
                          is_former = ?, responsible_id = ?, seconds = ?, gives = ?, least = ?, priority = ?,
                          microphone = ?, met_by = ?, seat = ?, arrives = ?, parking = ?, clothing = ?, press = ?,
                          also_comes = ?, version = version + 1
         where id = ? and version = ?",
        side,
        level,
        new.office,
        new.sponsor_level,
        new.address,
        new.in_own,
        new.since,
        new.is_former,
        new.responsible,
        new.seconds,
        gives,
        new.least,
        new.priority,
        new.microphone,
        new.met_by,
        new.seat,
        new.arrives,
        new.parking,
        new.clothing,
        new.press,
        new.also_comes,
        old.id,
        old.version
    )
    .execute(&mut **tx)
    .await?;
    if saved.rows_affected() == 0 {
        return Ok(false);
    }
    let (before, after) = (Some(journaled(tx, &old.details).await?), Some(journaled(tx, new).await?));
    record(tx, now, Entry { before, after, ..entry(actor, "changed", (old.event_id, old.id), name) });
    Ok(true)
}

/// Removes a guest from the list.
pub(in crate::guests) async fn remove(
    tx: &mut Tx,
    actor: Actor,
    (guest, name): (&Guest, &str),
    now: OffsetDateTime,
) -> Result<()> {
    sqlx::query!("delete from guest where id = ?", guest.id).execute(&mut **tx).await?;
    let before = Some(journaled(tx, &guest.details).await?);
    record(tx, now, Entry { before, ..entry(actor, "removed", (guest.event_id, guest.id), name) });
    Ok(())
}
