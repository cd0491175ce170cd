//! Contacts at outlets, who are people.

use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::press::outlets::journaled::entry;
use crate::press::outlets::{Contact, Outlet};
use serde_json::json;
use sqlx::SqliteConnection;
use time::OffsetDateTime;

/// All contacts at outlets now, by outlet and surname.
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
