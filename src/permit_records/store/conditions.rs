//! Reading back the conditions.

use super::Refused;
use super::journal::entry;
use super::reading::unchanged;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::permit_records::PermitId;
use crate::web::words::Reader;
use serde_json::json;
use time::{Date, OffsetDateTime};

/// Records that the conditions were read back to the safety officer, unless they changed
/// in the meantime; none takes it back.
pub async fn read_back(
    tx: &mut Tx,
    account_id: i64,
    which: PermitId,
    on: Option<Date>,
    version: i64,
    now: OffsetDateTime,
) -> Result<Result<(), Refused>> {
    let old = match unchanged(tx, which, version).await? {
        Ok(old) => old,
        Err(refused) => return Ok(Err(refused)),
    };
    if old.read_back.as_ref().map(|(on, _)| *on) == on {
        return Ok(Err(Refused::Already));
    }
    let by = on.map(|_| account_id);
    sqlx::query!("update permit set read_back_on = ?, read_back_by = ? where id = ?", on, by, which.id)
        .execute(&mut **tx)
        .await?;
    let journaled = |on: Option<Date>| Some(json!({"conditions read back": on.map(|on| Reader::App.day(on))}));
    let (before, after) = (journaled(old.read_back.map(|(on, _)| on)), journaled(on));
    let verb = if on.is_some() { "read back" } else { "took back the read-back of" };
    let entry = entry(Actor::Account(account_id), verb, which, &old.details.title);
    record(tx, now, Entry { before, after, ..entry });
    Ok(Ok(()))
}
