//! The outlets.

use super::journaled::entry;
use super::{Outlet, OutletDetails};
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::{Error, Result};
use crate::events::WEEK;
use crate::web::words::{self, Reader};
use anyhow::anyhow;
use serde_json::{Value, json};
use sqlx::SqlitePool;
use time::{Date, OffsetDateTime, Weekday};

struct Row {
    id: i64,
    name: String,
    kind: String,
    rhythm: String,
    lead_days: i64,
    closed_weekdays: i64,
    closed_on: String,
    version: i64,
}

impl Row {
    fn outlet(self) -> Result<Outlet> {
        let kind = self.kind.parse().map_err(|_| Error::Internal(anyhow!("an unknown type of outlet in the store")))?;
        let days: Vec<String> = serde_json::from_str(&self.closed_on)?;
        Ok(Outlet {
            id: self.id,
            details: OutletDetails {
                name: self.name,
                kind,
                rhythm: self.rhythm,
                lead_days: u8::try_from(self.lead_days)?,
                closed_weekdays: weekdays(self.closed_weekdays),
                closed_on: days.iter().filter_map(|day| crate::web::form::day(day).ok()).collect(),
            },
            version: self.version,
        })
    }
}

fn weekdays(bits: i64) -> Vec<Weekday> {
    WEEK.into_iter().filter(|day| (bits >> day.number_days_from_monday()) & 1 == 1).collect()
}

fn bits(days: &[Weekday]) -> i64 {
    days.iter().fold(0, |bits, day| bits | (1 << day.number_days_from_monday()))
}

fn days(days: &[Date]) -> String {
    json!(days.iter().map(|day| words::iso(*day)).collect::<Vec<_>>()).to_string()
}

/// All outlets by name.
pub(in crate::press) async fn all(db: &SqlitePool) -> Result<Vec<Outlet>> {
    let rows = sqlx::query_as!(
        Row,
        r#"select id as "id!", name, kind, rhythm, lead_days, closed_weekdays, closed_on, version from outlet
           order by name"#
    );
    rows.fetch_all(db).await?.into_iter().map(Row::outlet).collect()
}

pub(in crate::press) async fn find(db: &SqlitePool, id: i64) -> Result<Option<Outlet>> {
    let row = sqlx::query_as!(
        Row,
        r#"select id as "id!", name, kind, rhythm, lead_days, closed_weekdays, closed_on, version from outlet
           where id = ?"#,
        id
    );
    row.fetch_optional(db).await?.map(Row::outlet).transpose()
}

fn snapshot(details: &OutletDetails) -> Value {
    let list = |all: Vec<String>| all.join(", ");
    json!({
        "name": details.name,
        "kind": details.kind.as_str(),
        "deadline": details.rhythm,
        "days ahead": details.lead_days,
        "closed": list(details.closed_weekdays.iter().map(ToString::to_string).collect()),
        "closed on": list(details.closed_on.iter().map(|on| Reader::App.day(*on)).collect()),
    })
}

/// Adds an outlet; none if one has this name.
pub async fn add(tx: &mut Tx, actor: Actor, new: &OutletDetails, now: OffsetDateTime) -> Result<Option<i64>> {
    let (kind, weekdays, days) = (new.kind.as_str(), bits(&new.closed_weekdays), days(&new.closed_on));
    let at = now.unix_timestamp();
    let done = sqlx::query!(
        "insert into outlet (name, kind, rhythm, lead_days, closed_weekdays, closed_on, created_at)
         values (?, ?, ?, ?, ?, ?, ?) on conflict (name) do nothing",
        new.name,
        kind,
        new.rhythm,
        new.lead_days,
        weekdays,
        days,
        at
    );
    let done = done.execute(&mut **tx).await?;
    if done.rows_affected() == 0 {
        return Ok(None);
    }
    let id = done.last_insert_rowid();
    record(tx, now, Entry { after: Some(snapshot(new)), ..entry(actor, "added", id, &new.name) });
    Ok(Some(id))
}

/// Why an outlet was not changed.
pub(super) enum Refused {
    /// Someone else has changed it.
    Stale,
    /// Another one has this name.
    Taken,
}

/// Changes an outlet, if it is still as old as `old`.
pub(super) async fn change(
    tx: &mut Tx,
    actor: Actor,
    old: &Outlet,
    new: &OutletDetails,
    now: OffsetDateTime,
) -> Result<Result<(), Refused>> {
    let taken = sqlx::query_scalar!(r#"select id as "id!" from outlet where name = ? and id <> ?"#, new.name, old.id);
    if taken.fetch_optional(&mut **tx).await?.is_some() {
        return Ok(Err(Refused::Taken));
    }
    let (kind, weekdays, days) = (new.kind.as_str(), bits(&new.closed_weekdays), days(&new.closed_on));
    let done = sqlx::query!(
        "update outlet set name = ?, kind = ?, rhythm = ?, lead_days = ?, closed_weekdays = ?, closed_on = ?,
                           version = version + 1
         where id = ? and version = ?",
        new.name,
        kind,
        new.rhythm,
        new.lead_days,
        weekdays,
        days,
        old.id,
        old.version
    );
    if done.execute(&mut **tx).await?.rows_affected() == 0 {
        return Ok(Err(Refused::Stale));
    }
    let (before, after) = (Some(snapshot(&old.details)), Some(snapshot(new)));
    record(tx, now, Entry { before, after, ..entry(actor, "changed", old.id, &new.name) });
    Ok(Ok(()))
}
