//! What was sent, and when it arrived.

use super::Refused;
use super::journal::{entry, sent_snapshot};
use super::reading::find;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::permit_records::{PermitId, Sending};
use crate::web::words;
use time::{Date, OffsetDateTime};

/// A record has at most this many sendings.
const MOST_SENDINGS: usize = 40;

/// Records that a permit or notice was sent; the store gives the sending its number.
pub async fn add_sending(
    tx: &mut Tx,
    actor: Actor,
    which: PermitId,
    sending: &Sending,
    now: OffsetDateTime,
) -> Result<Result<i64, Refused>> {
    let Some(permit) = find(tx, which).await? else { return Ok(Err(Refused::Gone)) };
    let same = |known: &Sending| Sending { id: known.id, received_on: known.received_on, ..sending.clone() } == *known;
    if permit.sendings.iter().any(same) {
        return Ok(Err(Refused::Already));
    }
    if permit.sendings.len() >= MOST_SENDINGS {
        return Ok(Err(Refused::Full));
    }
    let burn_time = words::iso_time(sending.burn_time);
    let added = sqlx::query!(
        "insert into permit_sending (permit_id, sent_on, received_on, site, burn_time) values (?, ?, ?, ?, ?)",
        which.id,
        sending.sent_on,
        sending.received_on,
        sending.site,
        burn_time
    );
    let sending_id = added.execute(&mut **tx).await?.last_insert_rowid();
    for day in &sending.names {
        sqlx::query!("insert into permit_date (sending_id, named_on) values (?, ?)", sending_id, day)
            .execute(&mut **tx)
            .await?;
    }
    let after = Some(sent_snapshot(sending));
    record(tx, now, Entry { after, ..entry(actor, "sent", which, &permit.details.title) });
    Ok(Ok(sending_id))
}

/// One sending, and the title of its record.
async fn sending(tx: &mut Tx, which: PermitId, sending_id: i64) -> Result<Option<(String, Sending)>> {
    let Some(permit) = find(tx, which).await? else { return Ok(None) };
    let sending = permit.sendings.into_iter().find(|sending| sending.id == sending_id);
    Ok(sending.map(|sending| (permit.details.title, sending)))
}

/// Records when the authority received what was sent; none takes it back.
pub async fn receive(
    tx: &mut Tx,
    actor: Actor,
    which: PermitId,
    sending_id: i64,
    on: Option<Date>,
    now: OffsetDateTime,
) -> Result<Result<(), Refused>> {
    let Some((title, old)) = sending(tx, which, sending_id).await? else { return Ok(Err(Refused::Gone)) };
    if old.received_on == on {
        return Ok(Err(Refused::Already));
    }
    sqlx::query!("update permit_sending set received_on = ? where id = ?", on, sending_id).execute(&mut **tx).await?;
    let (before, after) = (Some(sent_snapshot(&old)), Some(sent_snapshot(&Sending { received_on: on, ..old })));
    let verb = if on.is_some() { "confirmed receipt of" } else { "took back receipt of" };
    record(tx, now, Entry { before, after, ..entry(actor, verb, which, &title) });
    Ok(Ok(()))
}

/// Takes back that a record was sent.
pub async fn remove_sending(
    tx: &mut Tx,
    actor: Actor,
    which: PermitId,
    sending_id: i64,
    now: OffsetDateTime,
) -> Result<Result<Sending, Refused>> {
    let Some((title, old)) = sending(tx, which, sending_id).await? else { return Ok(Err(Refused::Gone)) };
    sqlx::query!("delete from permit_sending where id = ?", sending_id).execute(&mut **tx).await?;
    let before = Some(sent_snapshot(&old));
    record(tx, now, Entry { before, ..entry(actor, "removed a sending of", which, &title) });
    Ok(Ok(old))
}
