//! All SQL of gifts.

mod journal;
mod receipts;
mod row;

use super::{Details, Gift};
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::web::words::Reader;
use journal::{entry, snapshot};
use row::{Columns, Row};
use serde_json::json;
use sqlx::SqliteConnection;
use time::{Date, OffsetDateTime};

pub use receipts::add_receipt;
pub(super) use receipts::{Given, put_made_from, receipts};

/// All gifts to an event, oldest first.
pub async fn of_event(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Gift>> {
    gifts(db, event_id, None).await
}

/// One gift to an event.
pub async fn find(db: &mut SqliteConnection, event_id: i64, id: i64) -> Result<Option<Gift>> {
    Ok(gifts(db, event_id, Some(id)).await?.pop())
}

/// The gifts to an event, or the one with this number.
async fn gifts(db: &mut SqliteConnection, event_id: i64, id: Option<i64>) -> Result<Vec<Gift>> {
    let rows = sqlx::query_as!(
        Row,
        r#"select g.id as "id!", g.event_id, g.person_id, p.name as person, o.name as "organization?", g.in_name, g.kind,
                  g.what, g.quantity, g.amount_cents, g.promised_on as "promised_on: Date",
                  g.promised_by as "promised_by: Date", g.state, g.received_on as "received_on: Date", g.taken_by,
                  g.in_return, g.return_what, g.return_cents, g.recognition, g.credited_as, g.agreed_by,
                  g.agreed_on as "agreed_on: Date", g.logo, g.value_cents, g.value_basis,
                  g.value_on as "value_on: Date", g.value_by, g.notes, g.version
           from gift g join person p on p.id = g.person_id left join organization o on o.id = p.organization_id
           where g.event_id = ?1 and (?2 is null or g.id = ?2) order by g.id"#,
        event_id,
        id
    );
    rows.fetch_all(db).await?.into_iter().map(Row::gift).collect()
}

/// Stores a gift with this number, or a new one, and returns its number.
async fn put(tx: &mut Tx, event_id: i64, id: Option<i64>, details: &Details) -> Result<i64> {
    let columns = Columns::of(details);
    let credit = &details.credit;
    let id = sqlx::query_scalar!(
        r#"insert into gift (id, event_id, person_id, in_name, kind, what, quantity, amount_cents, promised_on, promised_by,
                             state, received_on, taken_by, in_return, return_what, return_cents, recognition, credited_as,
                             agreed_by, agreed_on, logo, value_cents, value_basis, value_on, value_by, notes)
           values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
           on conflict (id) do update
           set person_id = excluded.person_id, in_name = excluded.in_name, kind = excluded.kind, what = excluded.what,
               quantity = excluded.quantity, amount_cents = excluded.amount_cents, promised_on = excluded.promised_on,
               promised_by = excluded.promised_by, state = excluded.state, received_on = excluded.received_on,
               taken_by = excluded.taken_by, in_return = excluded.in_return, return_what = excluded.return_what,
               return_cents = excluded.return_cents, recognition = excluded.recognition,
               credited_as = excluded.credited_as, agreed_by = excluded.agreed_by, agreed_on = excluded.agreed_on,
               logo = excluded.logo, value_cents = excluded.value_cents, value_basis = excluded.value_basis,
               value_on = excluded.value_on, value_by = excluded.value_by, notes = excluded.notes, version = version + 1
           returning id as "id!""#,
        id,
        event_id,
        details.person_id,
        columns.in_name,
        columns.kind,
        columns.what,
        columns.quantity,
        columns.amount,
        details.promised_on,
        details.promised_by,
        columns.state,
        columns.received_on,
        columns.taken_by,
        columns.in_return,
        columns.return_what,
        columns.return_cents,
        columns.recognition,
        credit.credited_as,
        credit.agreed_by,
        credit.agreed_on,
        credit.logo,
        columns.value_cents,
        columns.value_basis,
        columns.value_on,
        columns.value_by,
        details.notes
    );
    Ok(id.fetch_one(&mut **tx).await?)
}

/// Adds a gift.
pub async fn add(tx: &mut Tx, actor: Actor, event_id: i64, details: &Details, now: OffsetDateTime) -> Result<i64> {
    let id = put(tx, event_id, None, details).await?;
    let title = details.what.says();
    record(tx, now, Entry { after: Some(snapshot(details)), ..entry(actor, "added", event_id, id, &title) });
    Ok(id)
}

/// Changes a gift. False if someone else did in the meantime, or it is gone.
pub async fn save(
    tx: &mut Tx,
    actor: Actor,
    (event_id, id): (i64, i64),
    new: &Details,
    version: i64,
    now: OffsetDateTime,
) -> Result<bool> {
    let old = find(tx, event_id, id).await?.filter(|old| old.version == version);
    let Some(old) = old else { return Ok(false) };
    put(tx, event_id, Some(id), new).await?;
    let (before, after) = (Some(snapshot(&old.details)), Some(snapshot(new)));
    let title = new.what.says();
    record(tx, now, Entry { before, after, ..entry(actor, "changed", event_id, id, &title) });
    Ok(true)
}

/// Saves that a promised gift was received. False if it is no longer promised.
pub async fn receive(
    tx: &mut Tx,
    actor: Actor,
    gift: &Gift,
    on: Date,
    taken_by: &str,
    now: OffsetDateTime,
) -> Result<bool> {
    let done = sqlx::query!(
        "update gift set state = 'received', received_on = ?, taken_by = ?, version = version + 1
         where id = ? and state = 'promised'",
        on,
        taken_by,
        gift.id
    )
    .execute(&mut **tx)
    .await?;
    if done.rows_affected() == 0 {
        return Ok(false);
    }
    let title = gift.details.what.says();
    let after = Some(json!({"received on": Reader::App.day(on), "state": "received"}));
    let before = Some(json!({"state": "promised"}));
    record(tx, now, Entry { before, after, ..entry(actor, "received", gift.event_id, gift.id, &title) });
    Ok(true)
}
