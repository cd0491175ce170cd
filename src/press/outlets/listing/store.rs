//! The outlets on each event's list.

use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::press::outlets::contacts::contacts;
use crate::press::outlets::journaled::entry;
use crate::press::outlets::{Contact, Listing, Outlet};
use serde_json::json;
use sqlx::SqliteConnection;
use time::OffsetDateTime;

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

/// The contacts of the outlets on an event's list.
pub(in crate::press) async fn listed_contacts(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Contact>> {
    let listings = listings(db, event_id).await?;
    let mut contacts = contacts(db).await?;
    contacts.retain(|contact| listings.iter().any(|listing| listing.outlet_id == contact.outlet_id));
    Ok(contacts)
}

/// Adds an outlet to an event's list, or changes who is responsible. False if nothing
/// changes.
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
