//! The closed days in the store.

use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::web::words::Reader;
use serde_json::json;
use sqlx::SqlitePool;
use time::{Date, OffsetDateTime};

/// A day the offices are closed, apart from weekends and holidays.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ClosedDay {
    pub on: Date,
    pub reason: String,
}

/// All closed days, in order.
pub async fn list(db: &SqlitePool) -> Result<Vec<ClosedDay>> {
    Ok(sqlx::query_as!(ClosedDay, r#"select closed_on as "on: Date", reason from closed_day order by closed_on"#)
        .fetch_all(db)
        .await?)
}

/// Adds a closed day; false if it was already on the list.
pub async fn add(tx: &mut Tx, actor: Actor, day: &ClosedDay, now: OffsetDateTime) -> Result<bool> {
    let added = sqlx::query!(
        "insert into closed_day (closed_on, reason) values (?, ?) on conflict do nothing",
        day.on,
        day.reason
    )
    .execute(&mut **tx)
    .await?
    .rows_affected();
    if added == 1 {
        record(tx, now, entry(actor, "added", day, &Reader::App.day(day.on)));
    }
    Ok(added == 1)
}

/// Removes a closed day; false if it wasn't on the list.
pub async fn remove(tx: &mut Tx, actor: Actor, on: Date, now: OffsetDateTime) -> Result<bool> {
    let reason = sqlx::query_scalar!(r#"select reason as "reason!" from closed_day where closed_on = ?"#, on)
        .fetch_optional(&mut **tx)
        .await?;
    let Some(reason) = reason else { return Ok(false) };
    sqlx::query!("delete from closed_day where closed_on = ?", on).execute(&mut **tx).await?;
    record(tx, now, entry(actor, "removed", &ClosedDay { on, reason }, &Reader::App.day(on)));
    Ok(true)
}

fn entry<'a>(actor: Actor, verb: &'static str, day: &ClosedDay, title: &'a str) -> Entry<'a> {
    let reason = Some(json!({"reason": day.reason}));
    let (before, after) = if verb == "removed" { (reason, None) } else { (None, reason) };
    Entry { actor, verb, subject: "closed day", subject_id: None, event_id: None, title, before, after }
}
