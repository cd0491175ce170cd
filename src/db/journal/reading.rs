//! Reading entries.

use crate::error::Result;
use serde_json::Value;
use sqlx::{SqliteConnection, SqlitePool};
use time::OffsetDateTime;

/// An entry, read back.
#[derive(Debug)]
pub struct JournalEntry {
    pub id: i64,
    pub at: OffsetDateTime,
    /// A name, "Someone with a link", or "Burnday".
    pub who: String,
    pub verb: String,
    pub subject: String,
    pub subject_id: Option<i64>,
    pub event_id: Option<i64>,
    pub title: String,
    pub changes: Vec<Change>,
}

/// A field that differs before and after.
#[derive(Debug, PartialEq, Eq)]
pub struct Change {
    pub field: String,
    pub before: String,
    pub after: String,
}

/// Which entries are wanted.
#[derive(Debug, Clone, Default)]
pub struct Wanted {
    /// Who acted, as in [`Side::who`]; empty for everyone.
    pub who: String,
    /// The kinds of things; none for all of them.
    pub subjects: Vec<&'static str>,
}

/// Someone who acted on a kind of thing.
#[derive(Debug, PartialEq, Eq)]
pub struct Side {
    /// The number of an account, `link` or `system`.
    pub who: String,
    /// A name, "Someone with a link", or "Burnday".
    pub name: String,
    pub subject: String,
}

/// The newest entries older than `before_id`, newest first: those of an event, or with
/// `None` those that belong to no event.
pub async fn page(
    db: &SqlitePool,
    event_id: Option<i64>,
    wanted: &Wanted,
    before_id: i64,
    limit: i64,
) -> Result<Vec<JournalEntry>> {
    let (who, subjects) = (wanted.who.as_str(), serde_json::to_string(&wanted.subjects)?);
    let subjects = subjects.as_str();
    let rows = sqlx::query_as!(
        Row,
        r#"select j.id as "id!", j.at as "at!", j.actor as "actor!", p.name as "name?", j.verb as "verb!",
                  j.subject as "subject!", j.subject_id, j.event_id, j.title as "title!", j.before, j.after
           from journal j left join account a on a.id = j.account_id left join person p on p.id = a.person_id
           where j.event_id is ? and j.id < ?
             and (? = '' or coalesce(cast(j.account_id as text), j.actor) = ?)
             and (? = '[]' or j.subject in (select value from json_each(?)))
           order by j.id desc limit ?"#,
        event_id,
        before_id,
        who,
        who,
        subjects,
        subjects,
        limit
    )
    .fetch_all(db)
    .await?;
    rows.into_iter().map(Row::entry).collect()
}

/// Everyone who acted, each with the kinds of things they acted on: in an event, or with
/// `None` outside of events.
pub async fn sides(db: &SqlitePool, event_id: Option<i64>) -> Result<Vec<Side>> {
    let rows = sqlx::query!(
        r#"select distinct j.actor as "actor!", j.account_id as "account_id?", p.name as "name?", j.subject as "subject!"
           from journal j left join account a on a.id = j.account_id left join person p on p.id = a.person_id
           where j.event_id is ?"#,
        event_id
    )
    .fetch_all(db)
    .await?;
    let side = rows.into_iter().map(|row| Side {
        who: row.account_id.map_or_else(|| row.actor.clone(), |id| id.to_string()),
        name: name_of(&row.actor, row.name),
        subject: row.subject,
    });
    Ok(side.collect())
}

/// Everything about one thing, newest first.
pub async fn of(db: &SqlitePool, subject: &str, subject_id: i64) -> Result<Vec<JournalEntry>> {
    let rows = sqlx::query_as!(
        Row,
        r#"select j.id as "id!", j.at as "at!", j.actor as "actor!", p.name as "name?", j.verb as "verb!",
                  j.subject as "subject!", j.subject_id, j.event_id, j.title as "title!", j.before, j.after
           from journal j left join account a on a.id = j.account_id left join person p on p.id = a.person_id
           where j.subject = ? and j.subject_id = ? order by j.id desc limit 200"#,
        subject,
        subject_id
    )
    .fetch_all(db)
    .await?;
    rows.into_iter().map(Row::entry).collect()
}

struct Row {
    id: i64,
    at: i64,
    actor: String,
    name: Option<String>,
    verb: String,
    subject: String,
    subject_id: Option<i64>,
    event_id: Option<i64>,
    title: String,
    before: Option<String>,
    after: Option<String>,
}

impl Row {
    fn entry(self) -> Result<JournalEntry> {
        let parse = |text: Option<String>| text.map(|text| serde_json::from_str::<Value>(&text)).transpose();
        let changes = changes(parse(self.before)?.as_ref(), parse(self.after)?.as_ref());
        Ok(JournalEntry {
            id: self.id,
            at: OffsetDateTime::from_unix_timestamp(self.at)?,
            who: name_of(&self.actor, self.name),
            verb: self.verb,
            subject: self.subject,
            subject_id: self.subject_id,
            event_id: self.event_id,
            title: self.title,
            changes,
        })
    }
}

fn name_of(actor: &str, name: Option<String>) -> String {
    match actor {
        "account" => name.unwrap_or_default(),
        "link" => "Someone with a link".to_owned(),
        _ => "Burnday".to_owned(),
    }
}

/// What an entry holds about a thing from before the change, for undoing it.
pub async fn kept(
    connection: &mut SqliteConnection,
    id: i64,
    subject: &str,
    verb: &str,
) -> Result<Option<(Option<i64>, Value)>> {
    let row = sqlx::query!(
        "select subject_id, before from journal where id = ? and subject = ? and verb = ?",
        id,
        subject,
        verb
    )
    .fetch_optional(connection)
    .await?;
    let Some(row) = row else { return Ok(None) };
    let before = row.before.map(|text| serde_json::from_str(&text)).transpose()?;
    Ok(Some((row.subject_id, before.unwrap_or_default())))
}

fn changes(before: Option<&Value>, after: Option<&Value>) -> Vec<Change> {
    let empty = serde_json::Map::new();
    let before = before.and_then(Value::as_object).unwrap_or(&empty);
    let after = after.and_then(Value::as_object).unwrap_or(&empty);
    let mut fields: Vec<&String> = before.keys().chain(after.keys()).collect();
    fields.sort();
    fields.dedup();
    // What an undo needs is no news to a reader.
    fields.retain(|field| *field != "undo");
    let text = |value: Option<&Value>| match value {
        None | Some(Value::Null) => String::new(),
        Some(Value::String(text)) => text.clone(),
        Some(other) => other.to_string(),
    };
    fields
        .into_iter()
        .map(|field| Change { field: field.clone(), before: text(before.get(field)), after: text(after.get(field)) })
        .filter(|change| change.before != change.after)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn only_fields_that_differ_are_told() {
        let told = changes(Some(&json!({"a": "1", "b": "x"})), Some(&json!({"a": "2", "b": "x", "c": 3})));
        let change = |field: &str, before: &str, after: &str| Change {
            field: field.to_owned(),
            before: before.to_owned(),
            after: after.to_owned(),
        };
        assert_eq!(told, [change("a", "1", "2"), change("c", "", "3")]);
    }
}
