//! The department's earlier burns.

use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use serde_json::{Value as Json, json};
use sqlx::SqliteConnection;
use time::{Date, OffsetDateTime};

/// What the department measured at an earlier burn, in seconds from lighting.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Earlier {
    pub id: i64,
    pub name: String,
    pub on: Date,
    pub alarm: Option<u32>,
    pub sprinkler: Option<u32>,
    pub flashover: Option<u32>,
}

/// The department's earlier burns, the latest first.
pub async fn earlier(db: &mut SqliteConnection) -> Result<Vec<Earlier>> {
    let rows = sqlx::query!(
        r#"select id, name, burned_on as "on: Date", alarm_s, sprinkler_s, flashover_s from earlier_burn
           order by burned_on desc, id"#
    );
    let seconds = |time: Option<i64>| time.map(u32::try_from).transpose();
    let rows = rows.fetch_all(db).await?.into_iter().map(|row| {
        Ok(Earlier {
            id: row.id,
            name: row.name,
            on: row.on,
            alarm: seconds(row.alarm_s)?,
            sprinkler: seconds(row.sprinkler_s)?,
            flashover: seconds(row.flashover_s)?,
        })
    });
    rows.collect()
}

fn in_history(earlier: &Earlier) -> Json {
    let seconds = |time: Option<u32>| time.map(|time| format!("{time} s"));
    json!({
        "day": earlier.on.to_string(),
        "smoke alarm": seconds(earlier.alarm),
        "sprinkler": seconds(earlier.sprinkler),
        "flashover": seconds(earlier.flashover),
    })
}

fn burned<'a>(actor: Actor, verb: &'static str, earlier: &'a Earlier) -> Entry<'a> {
    Entry {
        actor,
        verb,
        subject: "earlier burn",
        subject_id: Some(earlier.id),
        event_id: None,
        title: &earlier.name,
        before: None,
        after: None,
    }
}

/// Adds an earlier burn.
pub async fn add_earlier(tx: &mut Tx, actor: Actor, earlier: &Earlier, now: OffsetDateTime) -> Result<()> {
    let id = sqlx::query!(
        "insert into earlier_burn (name, burned_on, alarm_s, sprinkler_s, flashover_s) values (?, ?, ?, ?, ?)",
        earlier.name,
        earlier.on,
        earlier.alarm,
        earlier.sprinkler,
        earlier.flashover
    )
    .execute(&mut **tx)
    .await?
    .last_insert_rowid();
    let earlier = Earlier { id, ..earlier.clone() };
    record(tx, now, Entry { after: Some(in_history(&earlier)), ..burned(actor, "added", &earlier) });
    Ok(())
}

/// Removes an earlier burn; false if it is gone already.
pub async fn remove_earlier(tx: &mut Tx, actor: Actor, id: i64, now: OffsetDateTime) -> Result<bool> {
    let Some(old) = earlier(tx).await?.into_iter().find(|earlier| earlier.id == id) else { return Ok(false) };
    sqlx::query!("delete from earlier_burn where id = ?", id).execute(&mut **tx).await?;
    record(tx, now, Entry { before: Some(in_history(&old)), ..burned(actor, "removed", &old) });
    Ok(true)
}
