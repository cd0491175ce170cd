use super::{Details, Event, Weekdays, snapshot};
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::{Error, Result};
use crate::web::words;
use crate::zone::Zone;
use anyhow::{Context, anyhow};
use serde::Deserialize;
use serde_json::json;
use sqlx::SqlitePool;
use time::macros::format_description;
use time::{Date, OffsetDateTime, Time};

/// Why an event was not changed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Refused {
    /// Somebody else changed it meanwhile.
    Stale,
    /// It is gone.
    Gone,
}

/// A new burn day.
#[derive(Debug, Clone)]
pub struct Moving {
    pub burn_on: Date,
    pub rain_on: Option<Date>,
    /// The version that the person saw who decided it.
    pub version: i64,
}

impl Moving {
    /// The event's details after it.
    #[must_use]
    pub fn details(&self, event: &Event) -> Details {
        Details { burn_on: self.burn_on, rain_on: self.rain_on, ..event.details.clone() }
    }
}

/// A row of the table, which another place may read as JSON within a statement
/// of its own.
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
    date_revision: i64,
    is_current: i64,
    version: i64,
}

impl Row {
    /// The event that it holds.
    ///
    /// # Errors
    /// When a column holds what this version doesn't know.
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
        };
        Ok(Event {
            id: self.id,
            details,
            date_revision: self.date_revision,
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
    let row = sqlx::query_as!(
        Row,
        r#"select id, name, site, zone, burn_on as "burn_on: Date", burn_time, rain_on as "rain_on: Date", format,
                  audience, weekdays, date_revision, is_current, version from event where id = ?"#,
        id
    )
    .fetch_optional(db)
    .await?;
    row.map(Row::event).transpose()
}

/// How often the burn day of an event has moved, inside a write.
///
/// # Errors
/// The store's.
pub async fn revision_in(tx: &mut Tx, id: i64) -> Result<Option<i64>> {
    Ok(sqlx::query_scalar!("select date_revision from event where id = ?", id).fetch_optional(&mut **tx).await?)
}

/// The event that the department works on now.
///
/// # Errors
/// The store's.
pub async fn current(db: &SqlitePool) -> Result<Option<Event>> {
    let row = sqlx::query_as!(
        Row,
        r#"select id, name, site, zone, burn_on as "burn_on: Date", burn_time, rain_on as "rain_on: Date", format,
                  audience, weekdays, date_revision, is_current, version from event where is_current = 1"#
    )
    .fetch_optional(db)
    .await?;
    row.map(Row::event).transpose()
}

/// All events, the latest burn day first.
///
/// # Errors
/// The store's.
pub async fn list(db: &SqlitePool) -> Result<Vec<Event>> {
    let rows = sqlx::query_as!(
        Row,
        r#"select id as "id!", name, site, zone, burn_on as "burn_on: Date", burn_time, rain_on as "rain_on: Date",
                  format, audience, weekdays, date_revision, is_current, version
           from event order by burn_on desc, id desc"#
    )
    .fetch_all(db)
    .await?;
    rows.into_iter().map(Row::event).collect()
}

/// Adds an event and makes it the current one.
///
/// # Errors
/// The store's.
pub async fn create(tx: &mut Tx, actor: Actor, details: &Details, now: OffsetDateTime) -> Result<i64> {
    sqlx::query!("update event set is_current = 0 where is_current = 1").execute(&mut **tx).await?;
    let zone = details.zone.name();
    let burn_time = words::clock(details.burn_time);
    let format = details.format.as_str();
    let weekdays = details.weekdays.bits();
    let at = now.unix_timestamp();
    let id = sqlx::query!(
        "insert into event (name, site, zone, burn_on, burn_time, rain_on, format, audience, weekdays, is_current,
                            created_at)
         values (?, ?, ?, ?, ?, ?, ?, ?, ?, 1, ?)",
        details.name,
        details.site,
        zone,
        details.burn_on,
        burn_time,
        details.rain_on,
        format,
        details.audience,
        weekdays,
        at
    )
    .execute(&mut **tx)
    .await?
    .last_insert_rowid();
    record(tx, now, entry(actor, "added", id, &details.name, None, Some(details)));
    Ok(id)
}

/// Changes everything but the burn day, unless somebody else did meanwhile.
///
/// # Errors
/// The store's.
pub async fn save(
    tx: &mut Tx,
    actor: Actor,
    old: &Event,
    details: &Details,
    version: i64,
    now: OffsetDateTime,
) -> Result<Result<(), Refused>> {
    let zone = details.zone.name();
    let burn_time = words::clock(details.burn_time);
    let format = details.format.as_str();
    let weekdays = details.weekdays.bits();
    let changed = sqlx::query!(
        "update event set name = ?, site = ?, zone = ?, burn_time = ?, rain_on = ?, format = ?, audience = ?,
                weekdays = ?, version = version + 1 where id = ? and version = ?",
        details.name,
        details.site,
        zone,
        burn_time,
        details.rain_on,
        format,
        details.audience,
        weekdays,
        old.id,
        version
    )
    .execute(&mut **tx)
    .await?
    .rows_affected();
    if changed == 0 {
        return Ok(Err(Refused::Stale));
    }
    record(tx, now, entry(actor, "changed", old.id, &details.name, Some(&old.details), Some(details)));
    Ok(Ok(()))
}

/// Makes an event the one the department works on now.
///
/// # Errors
/// The store's.
pub async fn make_current(tx: &mut Tx, actor: Actor, event: &Event, now: OffsetDateTime) -> Result<()> {
    sqlx::query!("update event set is_current = 0 where is_current = 1").execute(&mut **tx).await?;
    sqlx::query!("update event set is_current = 1 where id = ?", event.id).execute(&mut **tx).await?;
    record(tx, now, entry(actor, "made current", event.id, &event.details.name, None, None));
    Ok(())
}

/// Moves the burn day and counts up the date revision, unless it was moved
/// meanwhile.
///
/// # Errors
/// The store's.
pub async fn move_burn_day(
    tx: &mut Tx,
    actor: Actor,
    event: &Event,
    to: &Moving,
    now: OffsetDateTime,
) -> Result<Result<(), Refused>> {
    let moved = sqlx::query!(
        "update event set burn_on = ?, rain_on = ?, date_revision = date_revision + 1, version = version + 1
         where id = ? and version = ?",
        to.burn_on,
        to.rain_on,
        event.id,
        to.version
    )
    .execute(&mut **tx)
    .await?
    .rows_affected();
    if moved == 0 {
        return Ok(Err(Refused::Stale));
    }
    let new = to.details(event);
    let told = |details, revision| {
        let mut told = snapshot(details);
        told["date revision"] = json!(revision);
        Some(told)
    };
    let entry = Entry {
        before: told(&event.details, event.date_revision),
        after: told(&new, event.date_revision + 1),
        ..entry(actor, "moved the burn day of", event.id, &event.details.name, None, None)
    };
    record(tx, now, entry);
    Ok(Ok(()))
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

/// One event as it stands inside a write.
///
/// # Errors
/// The store's.
pub async fn find_in(tx: &mut Tx, id: i64) -> Result<Option<Event>> {
    let row = sqlx::query_as!(
        Row,
        r#"select id, name, site, zone, burn_on as "burn_on: Date", burn_time, rain_on as "rain_on: Date", format,
                  audience, weekdays, date_revision, is_current, version from event where id = ?"#,
        id
    )
    .fetch_optional(&mut **tx)
    .await?;
    row.map(Row::event).transpose()
}
