use super::{Contact, Listing, Outlet, OutletDetails};
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::{Error, Result};
use crate::events::WEEK;
use crate::web::words::{self, Reader};
use anyhow::anyhow;
use serde_json::{Value, json};
use sqlx::{SqliteConnection, SqlitePool};
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

fn entry<'a>(actor: Actor, verb: &'static str, id: i64, title: &'a str) -> Entry<'a> {
    Entry { actor, verb, subject: "outlet", subject_id: Some(id), event_id: None, title, before: None, after: None }
}

/// Adds an outlet; none if one has this name.
///
/// # Errors
/// The store's.
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

/// All contacts at outlets now, by outlet and surname.
///
/// # Errors
/// The store's.
pub async fn contacts(db: &mut SqliteConnection) -> Result<Vec<Contact>> {
    let rows = sqlx::query_as!(
        Contact,
        r#"select c.id as "id!", c.outlet_id, o.name as outlet, c.person_id, p.name, c.part
           from outlet_contact c join outlet o on o.id = c.outlet_id join person p on p.id = c.person_id
           where c.left_at is null and p.forgotten_at is null and p.merged_into is null
           order by o.name, p.search, c.id"#
    );
    Ok(rows.fetch_all(db).await?)
}

/// Adds a contact at an outlet. False if they are one already.
///
/// # Errors
/// The store's.
pub async fn add_contact(
    tx: &mut Tx,
    actor: Actor,
    (outlet, outlet_name): (i64, &str),
    (person, name): (i64, &str),
    part: &str,
    now: OffsetDateTime,
) -> Result<bool> {
    let at = now.unix_timestamp();
    let done = sqlx::query!(
        "insert into outlet_contact (outlet_id, person_id, part, created_at) values (?, ?, ?, ?)
         on conflict (outlet_id, person_id) do update set left_at = null, part = excluded.part
         where left_at is not null or part <> excluded.part",
        outlet,
        person,
        part,
        at
    );
    if done.execute(&mut **tx).await?.rows_affected() == 0 {
        return Ok(false);
    }
    let after = Some(json!({"contact": name, "part": part}));
    record(tx, now, Entry { after, ..entry(actor, "added a contact to", outlet, outlet_name) });
    Ok(true)
}

/// Removes a contact from an outlet. False if they weren't one.
pub(super) async fn remove_contact(
    tx: &mut Tx,
    actor: Actor,
    outlet: &Outlet,
    contact: i64,
    now: OffsetDateTime,
) -> Result<bool> {
    let at = now.unix_timestamp();
    let done = sqlx::query!(
        "update outlet_contact set left_at = ? where id = ? and outlet_id = ? and left_at is null",
        at,
        contact,
        outlet.id
    );
    if done.execute(&mut **tx).await?.rows_affected() == 0 {
        return Ok(false);
    }
    let name = sqlx::query_scalar!(
        "select p.name from outlet_contact c join person p on p.id = c.person_id where c.id = ?",
        contact
    );
    let before = Some(json!({"contact": name.fetch_one(&mut **tx).await?}));
    record(tx, now, Entry { before, ..entry(actor, "took a contact from", outlet.id, &outlet.details.name) });
    Ok(true)
}

/// The outlets on an event's list.
pub(in crate::press) async fn listings(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Listing>> {
    let rows = sqlx::query_as!(
        Listing,
        r#"select l.outlet_id, l.owner_id, p.name as "owner?"
           from press_listing l join outlet o on o.id = l.outlet_id left join person p on p.id = l.owner_id
           where l.event_id = ? order by o.name"#,
        event_id
    );
    Ok(rows.fetch_all(db).await?)
}

/// Adds an outlet to an event's list, or changes who is responsible. False if nothing
/// changes.
///
/// # Errors
/// The store's.
pub async fn list_outlet(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    (outlet, name): (i64, &str),
    owner: Option<i64>,
    now: OffsetDateTime,
) -> Result<bool> {
    let at = now.unix_timestamp();
    let old = owner_of(tx, event_id, outlet).await?;
    let done = sqlx::query!(
        "insert into press_listing (event_id, outlet_id, owner_id, added_at) values (?, ?, ?, ?)
         on conflict (event_id, outlet_id) do update set owner_id = excluded.owner_id
         where owner_id is not excluded.owner_id",
        event_id,
        outlet,
        owner,
        at
    );
    if done.execute(&mut **tx).await?.rows_affected() == 0 {
        return Ok(false);
    }
    let new = owner_of(tx, event_id, outlet).await?;
    let (before, after) = (Some(json!({"owner": old})), Some(json!({"owner": new})));
    let entry = Entry { event_id: Some(event_id), before, after, ..entry(actor, "listed", outlet, name) };
    record(tx, now, entry);
    Ok(true)
}

async fn owner_of(db: &mut SqliteConnection, event_id: i64, outlet: i64) -> Result<Option<String>> {
    let name = sqlx::query_scalar!(
        r#"select p.name as "name!" from press_listing l join person p on p.id = l.owner_id
           where l.event_id = ? and l.outlet_id = ?"#,
        event_id,
        outlet
    );
    Ok(name.fetch_optional(db).await?)
}

/// Removes an outlet from an event's list. False if it wasn't on it.
pub(super) async fn unlist(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    outlet: &Outlet,
    now: OffsetDateTime,
) -> Result<bool> {
    let done = sqlx::query!("delete from press_listing where event_id = ? and outlet_id = ?", event_id, outlet.id);
    if done.execute(&mut **tx).await?.rows_affected() == 0 {
        return Ok(false);
    }
    let entry = entry(actor, "took off the list", outlet.id, &outlet.details.name);
    record(tx, now, Entry { event_id: Some(event_id), ..entry });
    Ok(true)
}
