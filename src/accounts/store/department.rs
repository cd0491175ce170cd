//! The department.

use super::writing::insert;
use crate::accounts::{Department, Refused, Role};
use crate::calc::homes::Home;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::zone;
use serde::Deserialize;
use serde_json::{Value, json};
use sqlx::types::Json;
use sqlx::{SqliteConnection, SqlitePool};
use time::OffsetDateTime;

/// Where the department is, as it is in the store.
#[derive(Deserialize)]
pub(in crate::accounts) struct HomeRow {
    city: String,
    county: String,
    state: String,
    congress_district: String,
    senate_district: String,
    house_district: String,
    other_places: String,
}

impl HomeRow {
    pub fn home(self) -> Home {
        Home {
            city: self.city,
            county: self.county,
            state: self.state,
            congress_district: self.congress_district,
            senate_district: self.senate_district,
            house_district: self.house_district,
            others: self.other_places.lines().map(str::to_owned).collect(),
        }
    }
}

struct DepartmentRow {
    name: String,
    zone: String,
    phone: String,
    home: Json<HomeRow>,
    version: i64,
}

/// The department, once it is set up.
pub async fn department(db: &SqlitePool) -> Result<Option<Department>> {
    department_in(&mut *db.acquire().await?).await
}

/// The same, with an open connection or inside a write.
pub async fn department_in(db: &mut SqliteConnection) -> Result<Option<Department>> {
    let row = sqlx::query_as!(
        DepartmentRow,
        r#"select name, zone, phone, version,
                  json_object('city', city, 'county', county, 'state', state,
                      'congress_district', congress_district, 'senate_district', senate_district,
                      'house_district', house_district, 'other_places', other_places) as "home!: Json<HomeRow>"
           from department"#
    );
    Ok(row.fetch_optional(db).await?.map(|row| Department {
        name: row.name,
        zone: row.zone,
        phone: row.phone,
        home: row.home.0.home(),
        version: row.version,
    }))
}

/// The department as it appears in the journal.
fn snapshot(department: &Department) -> Value {
    let home = &department.home;
    json!({
        "name": department.name,
        "time zone": zone::plain(&department.zone),
        "phone": department.phone,
        "city": home.city,
        "county": home.county,
        "state": home.state,
        "congressional district": home.congress_district,
        "state senate district": home.senate_district,
        "state house district": home.house_district,
        "other places": home.others.join("; "),
    })
}

/// Changes the department, unless someone else changed it in the meantime.
pub async fn save_department(
    tx: &mut Tx,
    actor: Actor,
    new: &Department,
    now: OffsetDateTime,
) -> Result<Result<(), Refused>> {
    let old = department_in(tx).await?.unwrap_or_default();
    if old.version != new.version {
        return Ok(Err(Refused::Stale));
    }
    let others = new.home.others.join("\n");
    sqlx::query!(
        "update department set name = ?, zone = ?, phone = ?, city = ?, county = ?, state = ?, congress_district = ?,
                               senate_district = ?, house_district = ?, other_places = ?, version = version + 1",
        new.name,
        new.zone,
        new.phone,
        new.home.city,
        new.home.county,
        new.home.state,
        new.home.congress_district,
        new.home.senate_district,
        new.home.house_district,
        others
    )
    .execute(&mut **tx)
    .await?;
    let (before, after) = (Some(snapshot(&old)), Some(snapshot(new)));
    record(tx, now, Entry { before, after, ..entry(actor, "changed", new) });
    Ok(Ok(()))
}

fn entry<'a>(actor: Actor, verb: &'static str, department: &'a Department) -> Entry<'a> {
    Entry {
        actor,
        verb,
        subject: "department",
        subject_id: Some(1),
        event_id: None,
        title: &department.name,
        before: None,
        after: None,
    }
}

/// Creates the department and its first account. None if they already exist.
pub async fn set_up(
    tx: &mut Tx,
    department: &Department,
    name: &str,
    mail: &str,
    password_hash: &str,
    now: OffsetDateTime,
) -> Result<Option<i64>> {
    let done = sqlx::query_scalar!(r#"select count(*) as "n!" from department"#).fetch_one(&mut **tx).await?;
    if done > 0 {
        return Ok(None);
    }
    let others = department.home.others.join("\n");
    sqlx::query!(
        "insert into department (id, name, zone, phone, city, county, state, congress_district, senate_district,
                                 house_district, other_places)
         values (1, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        department.name,
        department.zone,
        department.phone,
        department.home.city,
        department.home.county,
        department.home.state,
        department.home.congress_district,
        department.home.senate_district,
        department.home.house_district,
        others
    )
    .execute(&mut **tx)
    .await?;
    let account = insert(tx, name, mail, Role::EducationOfficer, Some(password_hash), now).await?;
    sqlx::query!("delete from link where purpose = 'set-up'").execute(&mut **tx).await?;
    let after = Some(snapshot(department));
    record(tx, now, Entry { after, ..entry(Actor::Account(account), "set up", department) });
    Ok(Some(account))
}
