//! The events in the store.

use super::{Coordinates, Details, Event, VisitorFacts, Weekdays, snapshot};
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::{Error, Result};
use crate::web::words;
use crate::zone::Zone;
use anyhow::{Context, anyhow};
use serde::Deserialize;
use serde_json::json;
use sqlx::{SqliteConnection, SqlitePool};
use time::macros::format_description;
use time::{Date, OffsetDateTime, Time};

/// Why an event was not changed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Refused {
    /// Someone else changed it in the meantime.
    Stale,
    /// It is gone.
    Gone,
}

/// A row of the table. Other modules may read it as JSON in a query of their own.
#[derive(Debug, Deserialize)]
pub struct Row {
    id: i64,
    name: String,
    site: String,
    zone: String,
    burn_on: Date,
    burn_time: String,
    rain_on: Option<Date>,
    format: String,
    audience: Option<i64>,
    weekdays: i64,
    address: String,
    latitude: Option<f64>,
    longitude: Option<f64>,
    parking: String,
    clothing: String,
    date_revision: i64,
    facts_revision: i64,
    is_current: i64,
    version: i64,
}

impl Row {
    /// The event it holds.
    ///
    /// # Errors
    /// If a column holds something this version doesn't know.
    pub fn event(self) -> Result<Event> {
        let wrong = |what: &str| Error::Internal(anyhow!("event {}: unknown {what} in the store", self.id));
        let details = Details {
            name: self.name,
            site: self.site,
            zone: Zone::named(&self.zone).ok_or_else(|| wrong("zone"))?,
            burn_on: self.burn_on,
            burn_time: Time::parse(&self.burn_time, format_description!("[hour]:[minute]")).context("a burn time")?,
            rain_on: self.rain_on,
            format: self.format.parse().map_err(|_| wrong("format"))?,
            audience: self.audience.map(u32::try_from).transpose()?,
            weekdays: Weekdays::from_bits(self.weekdays)?,
            visitors: VisitorFacts {
                place: self.latitude.zip(self.longitude).and_then(|(north, east)| Coordinates::new(north, east)),
                address: self.address,
                parking: self.parking,
                clothing: self.clothing,
            },
        };
        Ok(Event {
            id: self.id,
            details,
            date_revision: self.date_revision,
            facts_revision: self.facts_revision,
            is_current: self.is_current != 0,
            version: self.version,
        })
    }
}

/// One event.
///
/// # Errors
/// The store's.
pub async fn find(db: &SqlitePool, id: i64) -> Result<Option<Event>> {
    find_in(&mut *db.acquire().await?, id).await
}

/// One event, or the answer that there is none.
///
/// # Errors
/// The store's, and if there is none.
pub async fn found(db: &SqlitePool, id: i64) -> Result<Event> {
    find(db, id).await?.ok_or(Error::NotFound)
}

/// One event, inside a write.
///
/// # Errors
/// The store's.
pub async fn find_in(db: &mut SqliteConnection, id: i64) -> Result<Option<Event>> {
    one(db, Some(id)).await
}

/// The event with this number, or with none the current one.
async fn one(db: &mut SqliteConnection, id: Option<i64>) -> Result<Option<Event>> {
    let row = sqlx::query_as!(
        Row,
        r#"select id, name, site, zone, burn_on as "burn_on: Date", burn_time, rain_on as "rain_on: Date", format,
                  audience, weekdays, address, latitude, longitude, parking, clothing, date_revision, facts_revision,
                  is_current, version
           from event where id = coalesce(?, (select id from event where is_current = 1))"#,
        id
    )
    .fetch_optional(db)
    .await?;
    row.map(Row::event).transpose()
}

/// How often what people are told about an event has changed, inside a write.
///
/// # Errors
/// The store's.
pub async fn revision_in(tx: &mut Tx, id: i64) -> Result<Option<i64>> {
    Ok(sqlx::query_scalar!("select facts_revision from event where id = ?", id).fetch_optional(&mut **tx).await?)
}

/// The event the department is working on now.
///
/// # Errors
/// The store's.
pub async fn current(db: &SqlitePool) -> Result<Option<Event>> {
    one(&mut *db.acquire().await?, None).await
}

/// All events, latest burn day first.
///
/// # Errors
/// The store's.
pub async fn list(db: &SqlitePool) -> Result<Vec<Event>> {
    let rows = sqlx::query_as!(
        Row,
        r#"select id as "id!", name, site, zone, burn_on as "burn_on: Date", burn_time, rain_on as "rain_on: Date",
                  format, audience, weekdays, address, latitude, longitude, parking, clothing, date_revision,
                  facts_revision, is_current, version
           from event order by burn_on desc, id desc"#
    )
    .fetch_all(db)
    .await?;
    rows.into_iter().map(Row::event).collect()
}

/// The details that a row holds in another form.
struct Columns<'a> {
    zone: &'a str,
    burn_time: String,
    format: &'static str,
    weekdays: i64,
    latitude: Option<f64>,
    longitude: Option<f64>,
}

impl<'a> Columns<'a> {
    fn of(details: &'a Details) -> Self {
        let place = details.visitors.place;
        Self {
            zone: details.zone.name(),
            burn_time: words::iso_time(details.burn_time),
            format: details.format.as_str(),
            weekdays: details.weekdays.bits(),
            latitude: place.map(Coordinates::latitude),
            longitude: place.map(Coordinates::longitude),
        }
    }
}

/// Adds an event and makes it the current one.
///
/// # Errors
/// The store's.
pub async fn create(tx: &mut Tx, actor: Actor, details: &Details, now: OffsetDateTime) -> Result<i64> {
    sqlx::query!("update event set is_current = 0 where is_current = 1").execute(&mut **tx).await?;
    let (row, visitors) = (Columns::of(details), &details.visitors);
    let at = now.unix_timestamp();
    let id = sqlx::query!(
        "insert into event (name, site, zone, burn_on, burn_time, rain_on, format, audience, weekdays, address,
                            latitude, longitude, parking, clothing, is_current, created_at)
         values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, 1, ?)",
        details.name,
        details.site,
        row.zone,
        details.burn_on,
        row.burn_time,
        details.rain_on,
        row.format,
        details.audience,
        row.weekdays,
        visitors.address,
        row.latitude,
        row.longitude,
        visitors.parking,
        visitors.clothing,
        at
    )
    .execute(&mut **tx)
    .await?
    .last_insert_rowid();
    record(tx, now, entry(actor, "added", id, &details.name, None, Some(details)));
    Ok(id)
}

/// Changes an event, unless someone else did in the meantime. Counts up its date
/// revision if burn day changes, and its facts revision if anything changes that
/// people are told.
///
/// # Errors
/// The store's.
pub async fn change(
    tx: &mut Tx,
    actor: Actor,
    old: &Event,
    new: &Event,
    now: OffsetDateTime,
) -> Result<Result<(), Refused>> {
    let details = &new.details;
    let (row, visitors) = (Columns::of(details), &details.visitors);
    let changed = sqlx::query!(
        "update event set name = ?, site = ?, zone = ?, burn_on = ?, burn_time = ?, rain_on = ?, format = ?,
                audience = ?, weekdays = ?, address = ?, latitude = ?, longitude = ?, parking = ?, clothing = ?,
                date_revision = ?, facts_revision = ?, version = ?
         where id = ? and version = ?",
        details.name,
        details.site,
        row.zone,
        details.burn_on,
        row.burn_time,
        details.rain_on,
        row.format,
        details.audience,
        row.weekdays,
        visitors.address,
        row.latitude,
        row.longitude,
        visitors.parking,
        visitors.clothing,
        new.date_revision,
        new.facts_revision,
        new.version,
        old.id,
        old.version
    )
    .execute(&mut **tx)
    .await?
    .rows_affected();
    if changed == 0 {
        return Ok(Err(Refused::Stale));
    }
    let moves = new.date_revision != old.date_revision;
    let verb = if moves { "changed the date of" } else { "changed" };
    let mut entry = entry(actor, verb, old.id, &details.name, Some(&old.details), Some(details));
    if moves {
        for (side, event) in [(&mut entry.before, old), (&mut entry.after, new)] {
            if let Some(side) = side {
                side["date version"] = json!(event.date_revision);
            }
        }
    }
    record(tx, now, entry);
    Ok(Ok(()))
}

/// Makes this the event the department is working on now.
///
/// # Errors
/// The store's.
pub async fn make_current(tx: &mut Tx, actor: Actor, event: &Event, now: OffsetDateTime) -> Result<()> {
    sqlx::query!("update event set is_current = 0 where is_current = 1").execute(&mut **tx).await?;
    sqlx::query!("update event set is_current = 1 where id = ?", event.id).execute(&mut **tx).await?;
    record(tx, now, entry(actor, "chose as the current event", event.id, &event.details.name, None, None));
    Ok(())
}

fn entry<'a>(
    actor: Actor,
    verb: &'static str,
    id: i64,
    title: &'a str,
    before: Option<&Details>,
    after: Option<&Details>,
) -> Entry<'a> {
    Entry {
        actor,
        verb,
        subject: "event",
        subject_id: Some(id),
        event_id: Some(id),
        title,
        before: before.map(snapshot),
        after: after.map(snapshot),
    }
}
