//! The hours people can be there, as the department entered them.

use super::journal::entry;
use crate::crew::Hours;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::web::words::Reader;
use serde_json::json;
use sqlx::SqliteConnection;
use std::collections::HashMap;
use time::{Date, OffsetDateTime};

/// The hours people can be there, as the department entered them, and when.
pub(in crate::crew) async fn hours(
    db: &mut SqliteConnection,
    event_id: i64,
) -> Result<HashMap<(i64, Date), (Hours, OffsetDateTime)>> {
    let rows = sqlx::query!(
        r#"select person_id, for_on as "for_on: Date", from_min, until_min, noted_at from crew_hours
           where event_id = ?"#,
        event_id
    );
    let mut hours = HashMap::new();
    for row in rows.fetch_all(db).await? {
        let span = Hours { from: u16::try_from(row.from_min)?, until: u16::try_from(row.until_min)? };
        let at = OffsetDateTime::from_unix_timestamp(row.noted_at)?;
        hours.insert((row.person_id, row.for_on), (span, at));
    }
    Ok(hours)
}

/// Saves the hours someone can be there on a day. None means that nothing is known.
pub async fn note_hours(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    (person_id, name): (i64, &str),
    on: Date,
    new: Option<Hours>,
    now: OffsetDateTime,
) -> Result<()> {
    let old = hours(tx, event_id).await?.get(&(person_id, on)).map(|(hours, _)| *hours);
    if old == new {
        return Ok(());
    }
    let by = match actor {
        Actor::Account(id) => Some(id),
        Actor::Link | Actor::System => None,
    };
    sqlx::query!("delete from crew_hours where event_id = ? and person_id = ? and for_on = ?", event_id, person_id, on)
        .execute(&mut **tx)
        .await?;
    if let Some(hours) = new {
        let (from, until, at) = (i64::from(hours.from), i64::from(hours.until), now.unix_timestamp());
        sqlx::query!(
            "insert into crew_hours (event_id, person_id, for_on, from_min, until_min, noted_at, noted_by)
             values (?, ?, ?, ?, ?, ?, ?)",
            event_id,
            person_id,
            on,
            from,
            until,
            at,
            by
        )
        .execute(&mut **tx)
        .await?;
    }
    let tell = |hours: Option<Hours>| Some(json!({"can be there": hours.map(Hours::says), "on": Reader::App.day(on)}));
    let title = format!("Hours of {name}");
    let entry = entry(actor, "recorded", (event_id, person_id), &title);
    record(tx, now, Entry { subject: "hours", before: tell(old), after: tell(new), ..entry });
    Ok(())
}
