//! All SQL of the lines.

use super::entry::entry;
use super::objectives::objectives;
use crate::calc::talk::Part;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::{Error, Result};
use crate::talk::{Objective, TalkLine};
use serde_json::{Value as Json, json};
use sqlx::SqliteConnection;
use time::OffsetDateTime;

fn unknown(what: &'static str) -> Error {
    Error::Internal(anyhow::anyhow!("unknown {what} in the store"))
}

/// The lines of an event's talk, in order within each part.
pub async fn lines(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<TalkLine>> {
    let rows = sqlx::query!(
        "select id, part, audience, speaker, looks, words, objective_id, version
         from talk_line where event_id = ? order by place, id",
        event_id
    );
    let rows = rows.fetch_all(db).await?.into_iter().map(|row| {
        Ok(TalkLine {
            id: row.id,
            part: row.part.parse().map_err(|_| unknown("part of a talk"))?,
            audience: row.audience.parse().map_err(|_| unknown("audience"))?,
            speaker: row.speaker,
            looks: row.looks.parse().map_err(|_| unknown("place to look"))?,
            words: row.words,
            objective: row.objective_id,
            version: row.version,
        })
    });
    rows.collect()
}

/// A line as the journal shows it. What it teaches is named, since its number says nothing.
fn line_in_history(line: &TalkLine, objectives: &[Objective]) -> Json {
    let teaches = objectives.iter().find(|one| Some(one.id) == line.objective);
    json!({
        "part": line.part.as_str().replace('-', " "),
        "for": line.audience.as_str(),
        "speaker": line.speaker,
        "look at": line.looks.as_str(),
        "words": line.words,
        "teaches": teaches.map(|one| one.text.as_str()),
    })
}

/// The beginning of a line, to call it by.
fn called(line: &TalkLine) -> String {
    const MOST: usize = 60;
    let mut begins: String = line.words.chars().take(MOST).map(|c| if c == '\n' { ' ' } else { c }).collect();
    if line.words.chars().count() > MOST {
        begins.push('…');
    }
    begins
}

async fn last_place(tx: &mut Tx, event_id: i64, part: Part) -> Result<i64> {
    let part = part.as_str();
    let last = sqlx::query_scalar!(
        r#"select coalesce(max(place), 0) as "last!: i64" from talk_line where event_id = ? and part = ?"#,
        event_id,
        part
    );
    Ok(last.fetch_one(&mut **tx).await?)
}

/// Adds a line at the end of its part, and returns its number.
pub async fn add_line(tx: &mut Tx, actor: Actor, event_id: i64, new: &TalkLine, now: OffsetDateTime) -> Result<i64> {
    let place = last_place(tx, event_id, new.part).await? + 1;
    let (part, audience, looks) = (new.part.as_str(), new.audience.as_str(), new.looks.as_str());
    let id = sqlx::query!(
        "insert into talk_line (event_id, part, place, audience, speaker, looks, words, objective_id)
         values (?, ?, ?, ?, ?, ?, ?, ?)",
        event_id,
        part,
        place,
        audience,
        new.speaker,
        looks,
        new.words,
        new.objective
    );
    let id = id.execute(&mut **tx).await?.last_insert_rowid();
    let (title, objectives) = (called(new), objectives(tx, event_id).await?);
    let after = Some(line_in_history(new, &objectives));
    record(tx, now, Entry { subject_id: Some(id), after, ..entry(actor, "added", "talk line", event_id, &title) });
    Ok(id)
}

/// Saves a line with its number and version. False if someone changed or removed it since.
pub(in crate::talk) async fn put_line(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    new: &TalkLine,
    now: OffsetDateTime,
) -> Result<bool> {
    let old = lines(tx, event_id).await?.into_iter().find(|one| one.id == new.id && one.version == new.version);
    let Some(old) = old else { return Ok(false) };
    // In another part it comes last.
    let place = if old.part == new.part { None } else { Some(last_place(tx, event_id, new.part).await? + 1) };
    let (part, audience, looks) = (new.part.as_str(), new.audience.as_str(), new.looks.as_str());
    sqlx::query!(
        "update talk_line
         set part = ?, place = coalesce(?, place), audience = ?, speaker = ?, looks = ?, words = ?, objective_id = ?,
             version = version + 1
         where id = ? and event_id = ?",
        part,
        place,
        audience,
        new.speaker,
        looks,
        new.words,
        new.objective,
        new.id,
        event_id
    )
    .execute(&mut **tx)
    .await?;
    let (title, objectives) = (called(new), objectives(tx, event_id).await?);
    let (before, after) = (Some(line_in_history(&old, &objectives)), Some(line_in_history(new, &objectives)));
    let entry = entry(actor, "changed", "talk line", event_id, &title);
    record(tx, now, Entry { subject_id: Some(new.id), before, after, ..entry });
    Ok(true)
}

/// Removes a line. False if it is gone, or changed since.
pub(in crate::talk) async fn remove_line(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    (id, version): (i64, i64),
    now: OffsetDateTime,
) -> Result<bool> {
    let old = lines(tx, event_id).await?.into_iter().find(|one| one.id == id && one.version == version);
    let Some(old) = old else { return Ok(false) };
    sqlx::query!("delete from talk_line where id = ? and event_id = ?", id, event_id).execute(&mut **tx).await?;
    let (title, objectives) = (called(&old), objectives(tx, event_id).await?);
    let before = Some(line_in_history(&old, &objectives));
    record(tx, now, Entry { subject_id: Some(id), before, ..entry(actor, "removed", "talk line", event_id, &title) });
    Ok(true)
}

/// The line that another one is moved past, and where that is now.
#[derive(Debug, Clone, Copy)]
pub(in crate::talk) enum Past {
    Above(i64),
    Below(i64),
}

/// Moves a line past the one next to it. False if that isn't there anymore.
pub(in crate::talk) async fn move_line(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    (id, target): (i64, Past),
    now: OffsetDateTime,
) -> Result<bool> {
    let all = lines(tx, event_id).await?;
    let Some(part) = all.iter().find(|one| one.id == id).map(|one| one.part) else { return Ok(false) };
    let of_part: Vec<&TalkLine> = all.iter().filter(|one| one.part == part).collect();
    let place = |id: i64| of_part.iter().position(|one| one.id == id);
    let (other, verb) = match target {
        Past::Above(other) => (other, "moved up"),
        Past::Below(other) => (other, "moved down"),
    };
    let (Some(at), Some(other)) = (place(id), place(other)) else { return Ok(false) };
    let is_there = if matches!(target, Past::Above(_)) { other + 1 == at } else { at + 1 == other };
    if !is_there {
        return Ok(false);
    }
    let mut order: Vec<i64> = of_part.iter().map(|one| one.id).collect();
    order.swap(at, other);
    for (place, id) in (1i64..).zip(order) {
        sqlx::query!("update talk_line set place = ? where id = ?", place, id).execute(&mut **tx).await?;
    }
    let title = called(of_part[at]);
    record(tx, now, Entry { subject_id: Some(id), ..entry(actor, verb, "talk line", event_id, &title) });
    Ok(true)
}
