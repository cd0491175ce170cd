//! Finding events.

use super::row::Row;
use crate::db::Tx;
use crate::error::{Error, Result};
use crate::events::Event;
use sqlx::{SqliteConnection, SqlitePool};
use time::Date;

/// One event.
pub async fn find(db: &SqlitePool, id: i64) -> Result<Option<Event>> {
    find_in(&mut *db.acquire().await?, id).await
}

/// One event, or the answer that there is none.
///
/// # Errors
/// The store's, and if there is none.
pub async fn found(db: &SqlitePool, id: i64) -> Result<Event> {
    find(db, id).await?.ok_or(Error::NotFound)
}

/// One event, inside a write.
pub async fn find_in(db: &mut SqliteConnection, id: i64) -> Result<Option<Event>> {
    one(db, Some(id)).await
}

/// The event with this number, or with none the current one.
async fn one(db: &mut SqliteConnection, id: Option<i64>) -> Result<Option<Event>> {
    let row = sqlx::query_as!(
        Row,
        r#"select id, name, site, zone, burn_on as "burn_on: Date", burn_time, rain_on as "rain_on: Date", format,
                  audience, weekdays, address, latitude, longitude, parking, clothing, date_revision, facts_revision,
                  is_current, version
           from event where id = coalesce(?, (select id from event where is_current = 1))"#,
        id
    )
    .fetch_optional(db)
    .await?;
    row.map(Row::event).transpose()
}

/// How often what people are told about an event has changed, inside a write.
pub async fn revision_in(tx: &mut Tx, id: i64) -> Result<Option<i64>> {
    Ok(sqlx::query_scalar!("select facts_revision from event where id = ?", id).fetch_optional(&mut **tx).await?)
}

/// The event the department is working on now.
pub async fn current(db: &SqlitePool) -> Result<Option<Event>> {
    one(&mut *db.acquire().await?, None).await
}

/// All events, latest burn day first.
pub async fn list(db: &SqlitePool) -> Result<Vec<Event>> {
    let rows = sqlx::query_as!(
        Row,
        r#"select id as "id!", name, site, zone, burn_on as "burn_on: Date", burn_time, rain_on as "rain_on: Date",
                  format, audience, weekdays, address, latitude, longitude, parking, clothing, date_revision,
                  facts_revision, is_current, version
           from event order by burn_on desc, id desc"#
    )
    .fetch_all(db)
    .await?;
    rows.into_iter().map(Row::event).collect()
}
