//! The program before ignition.

use super::unknown::unknown;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::guests::program::parts::{Program, ProgramItem};
use sqlx::SqliteConnection;
use time::OffsetDateTime;

/// The program; the usual one if none is saved.
pub(in crate::guests) async fn program(db: &mut SqliteConnection, event_id: i64) -> Result<Program> {
    let row = sqlx::query!("select begins, minutes, version from programme where event_id = ?", event_id)
        .fetch_optional(&mut *db)
        .await?;
    let Some(row) = row else { return Ok(Program::usual()) };
    let rows = sqlx::query!(
        "select kind, title, who, seconds, gives, least, priority from programme_item where event_id = ?
         order by place, id",
        event_id
    );
    let mut items = Vec::new();
    for item in rows.fetch_all(db).await? {
        items.push(ProgramItem {
            kind: item.kind.parse().map_err(|_| unknown("part of a programme"))?,
            title: item.title,
            who: item.who,
            seconds: u32::try_from(item.seconds)?,
            gives: item.gives.parse().map_err(|_| unknown("way to give"))?,
            least: u32::try_from(item.least)?,
            priority: u8::try_from(item.priority)?,
        });
    }
    let (begins, minutes) = (u32::try_from(row.begins)?, u32::try_from(row.minutes)?);
    Ok(Program { begins, minutes, items, version: row.version })
}

/// Saves the program. False if someone else changed it in the meantime.
pub async fn put_program(tx: &mut Tx, actor: Actor, event_id: i64, new: &Program, now: OffsetDateTime) -> Result<bool> {
    let old = program(tx, event_id).await?;
    if old.version != new.version {
        return Ok(false);
    }
    let (begins, minutes) = (i64::from(new.begins), i64::from(new.minutes));
    sqlx::query!(
        "insert into programme (event_id, begins, minutes) values (?, ?, ?)
         on conflict (event_id) do update
         set begins = excluded.begins, minutes = excluded.minutes, version = version + 1",
        event_id,
        begins,
        minutes
    )
    .execute(&mut **tx)
    .await?;
    sqlx::query!("delete from programme_item where event_id = ?", event_id).execute(&mut **tx).await?;
    for (place, item) in (1i64..).zip(&new.items) {
        let (kind, gives) = (item.kind.as_str(), item.gives.as_str());
        sqlx::query!(
            "insert into programme_item (event_id, place, kind, title, who, seconds, gives, least, priority)
             values (?, ?, ?, ?, ?, ?, ?, ?, ?)",
            event_id,
            place,
            kind,
            item.title,
            item.who,
            item.seconds,
            gives,
            item.least,
            item.priority
        )
        .execute(&mut **tx)
        .await?;
    }
    let entry = Entry {
        actor,
        verb: "changed",
        subject: "programme",
        subject_id: Some(event_id),
        event_id: Some(event_id),
        title: "Program",
        before: Some(old.snapshot()),
        after: Some(new.snapshot()),
    };
    record(tx, now, entry);
    Ok(true)
}
