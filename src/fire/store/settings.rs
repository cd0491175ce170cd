//! The settings of an event: what an estimate rests on, under a name.

use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::fire::fields::{in_history, new_in_history};
use crate::fire::setup::Setup;
use sqlx::SqliteConnection;
use time::OffsetDateTime;

/// What an estimate rests on, under a name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Setting {
    pub id: i64,
    pub setup: Setup,
    pub version: i64,
}

pub(super) fn typed(setup: &Setup) -> Result<String> {
    Ok(serde_json::to_string(setup)?)
}

/// An event's settings, in the order in which they were added.
pub async fn settings(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Setting>> {
    let rows =
        sqlx::query!("select id, name, typed, version from fire_setting where event_id = ? order by id", event_id);
    let rows = rows.fetch_all(db).await?.into_iter().map(|row| {
        let setup = Setup { name: row.name, ..serde_json::from_str(&row.typed)? };
        Ok(Setting { id: row.id, setup, version: row.version })
    });
    rows.collect()
}

pub(super) fn entry<'a>(actor: Actor, verb: &'static str, event_id: i64, id: Option<i64>, title: &'a str) -> Entry<'a> {
    Entry {
        actor,
        verb,
        subject: "fire estimate",
        subject_id: id,
        event_id: Some(event_id),
        title,
        before: None,
        after: None,
    }
}

/// Saves a setting: a new one, or one with its number and version. None if someone changed
/// it in the meantime or its name is taken; its number if all is well.
pub async fn save(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    setting: &Setting,
    now: OffsetDateTime,
) -> Result<Option<i64>> {
    let (name, typed) = (setting.setup.name.trim(), typed(&setting.setup)?);
    let old = settings(tx, event_id).await?;
    if old.iter().any(|other| other.id != setting.id && other.setup.name == name) {
        return Ok(None);
    }
    let before = old.into_iter().find(|old| old.id == setting.id);
    let (id, verb) = if setting.id == 0 {
        let added =
            sqlx::query!("insert into fire_setting (event_id, name, typed) values (?, ?, ?)", event_id, name, typed);
        (added.execute(&mut **tx).await?.last_insert_rowid(), "added")
    } else {
        let changed = sqlx::query!(
            "update fire_setting set name = ?, typed = ?, version = version + 1
             where id = ? and event_id = ? and version = ?",
            name,
            typed,
            setting.id,
            event_id,
            setting.version
        );
        if changed.execute(&mut **tx).await?.rows_affected() == 0 {
            return Ok(None);
        }
        (setting.id, "changed")
    };
    let (before, after) = match &before {
        Some(before) => (Some(in_history(&before.setup)), in_history(&setting.setup)),
        None => (None, new_in_history(&setting.setup)),
    };
    let entry = entry(actor, verb, event_id, Some(id), name);
    record(tx, now, Entry { before, after: Some(after), ..entry });
    Ok(Some(id))
}

/// Removes a setting; false if it is gone already.
pub async fn remove(tx: &mut Tx, actor: Actor, event_id: i64, id: i64, now: OffsetDateTime) -> Result<bool> {
    let Some(old) = settings(tx, event_id).await?.into_iter().find(|setting| setting.id == id) else {
        return Ok(false);
    };
    sqlx::query!("delete from fire_setting where id = ? and event_id = ?", id, event_id).execute(&mut **tx).await?;
    let before = Some(new_in_history(&old.setup));
    let entry = entry(actor, "removed", event_id, Some(id), &old.setup.name);
    record(tx, now, Entry { before, ..entry });
    Ok(true)
}
