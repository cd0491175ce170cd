//! The stories about each event.

use super::{NewStory, Story};
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::web::words::Reader;
use serde_json::{Value, json};
use sqlx::SqlitePool;
use time::{Date, OffsetDateTime};

struct Row {
    id: i64,
    outlet_id: i64,
    outlet: String,
    ran_on: Date,
    title: String,
    link: String,
    air_seconds: Option<i64>,
    carried: i64,
    correction: String,
    corrected_on: Option<Date>,
    version: i64,
}

/// The stories about an event, the newest first.
pub(in crate::press) async fn of_event(db: &SqlitePool, event_id: i64) -> Result<Vec<Story>> {
    let rows = sqlx::query_as!(
        Row,
        r#"select s.id as "id!", s.outlet_id, o.name as outlet, s.ran_on as "ran_on: Date", s.title, s.link,
                  s.air_seconds, s.carried, s.correction, s.corrected_on as "corrected_on: Date", s.version
           from story s join outlet o on o.id = s.outlet_id where s.event_id = ? order by s.ran_on desc, s.id desc"#,
        event_id
    );
    let story = |row: Row| {
        Ok(Story {
            id: row.id,
            outlet_id: row.outlet_id,
            outlet: row.outlet,
            details: NewStory {
                outlet_id: row.outlet_id,
                ran_on: row.ran_on,
                title: row.title,
                link: row.link,
                air_seconds: row.air_seconds.map(u32::try_from).transpose()?,
                carried: u8::try_from(row.carried)?,
                correction: row.correction,
                corrected_on: row.corrected_on,
            },
            version: row.version,
        })
    };
    rows.fetch_all(db).await?.into_iter().map(story).collect()
}

fn snapshot(story: &NewStory) -> Value {
    json!({
        "ran": Reader::App.day(story.ran_on),
        "title": story.title,
        "link": story.link,
        "seconds on air": story.air_seconds,
        "messages": story.carried_numbers().join(", "),
        "correction wanted": story.correction,
        "corrected": story.corrected_on.map(|on| Reader::App.day(on)),
    })
}

fn entry<'a>(actor: Actor, verb: &'static str, event_id: i64, id: i64, title: &'a str) -> Entry<'a> {
    Entry {
        actor,
        verb,
        subject: "story",
        subject_id: Some(id),
        event_id: Some(event_id),
        title,
        before: None,
        after: None,
    }
}

/// Adds a story and gives its number.
pub async fn add(tx: &mut Tx, actor: Actor, event_id: i64, new: &NewStory, now: OffsetDateTime) -> Result<i64> {
    let at = now.unix_timestamp();
    let done = sqlx::query!(
        "insert into story (event_id, outlet_id, ran_on, title, link, air_seconds, carried, correction, corrected_on,
                            created_at)
         values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        event_id,
        new.outlet_id,
        new.ran_on,
        new.title,
        new.link,
        new.air_seconds,
        new.carried,
        new.correction,
        new.corrected_on,
        at
    );
    let id = done.execute(&mut **tx).await?.last_insert_rowid();
    record(tx, now, Entry { after: Some(snapshot(new)), ..entry(actor, "noted", event_id, id, &new.title) });
    Ok(id)
}

/// Changes a story. False if someone else has changed it.
pub(super) async fn change(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    old: &Story,
    (new, version): (&NewStory, i64),
    now: OffsetDateTime,
) -> Result<bool> {
    let done = sqlx::query!(
        "update story set outlet_id = ?, ran_on = ?, title = ?, link = ?, air_seconds = ?, carried = ?, correction = ?,
                          corrected_on = ?, version = version + 1
         where id = ? and event_id = ? and version = ?",
        new.outlet_id,
        new.ran_on,
        new.title,
        new.link,
        new.air_seconds,
        new.carried,
        new.correction,
        new.corrected_on,
        old.id,
        event_id,
        version
    );
    if done.execute(&mut **tx).await?.rows_affected() == 0 {
        return Ok(false);
    }
    let (before, after) = (Some(snapshot(&old.details)), Some(snapshot(new)));
    record(tx, now, Entry { before, after, ..entry(actor, "changed", event_id, old.id, &new.title) });
    Ok(true)
}
