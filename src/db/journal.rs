//! Who changed what, when: written in the same transaction as the change.

use super::Tx;
use crate::error::Result;
use serde::Serialize;
use serde_json::Value;
use sqlx::{SqliteConnection, SqlitePool};
use time::OffsetDateTime;

/// Who acts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Actor {
    /// Somebody signed in, by the number of the account.
    Account(i64),
    /// Somebody with an emailed or copied link.
    Link,
    /// The program itself.
    System,
}

/// One change.
#[derive(Debug)]
pub struct Entry<'a> {
    pub actor: Actor,
    /// What was done, as in "Priya Okafor *changed* a task".
    pub verb: &'static str,
    /// The kind of thing, and which one.
    pub subject: &'static str,
    pub subject_id: Option<i64>,
    pub event_id: Option<i64>,
    /// What the thing is called, in people's words.
    pub title: &'a str,
    /// Objects with the same fields; a field that differs was changed.
    pub before: Option<Value>,
    pub after: Option<Value>,
}

/// An entry as it waits for its commit.
#[derive(Debug, Serialize)]
pub(super) struct Waiting {
    at: i64,
    actor: &'static str,
    account_id: Option<i64>,
    verb: &'static str,
    subject: &'static str,
    subject_id: Option<i64>,
    event_id: Option<i64>,
    title: String,
    before: Option<String>,
    after: Option<String>,
}

/// Adds an entry to what is committed with this write.
pub fn record(tx: &mut Tx, now: OffsetDateTime, entry: Entry<'_>) {
    let (actor, account_id) = match entry.actor {
        Actor::Account(id) => ("account", Some(id)),
        Actor::Link => ("link", None),
        Actor::System => ("system", None),
    };
    tx.entries.push(Waiting {
        at: now.unix_timestamp(),
        actor,
        account_id,
        verb: entry.verb,
        subject: entry.subject,
        subject_id: entry.subject_id,
        event_id: entry.event_id,
        title: entry.title.to_owned(),
        before: entry.before.map(|value| value.to_string()),
        after: entry.after.map(|value| value.to_string()),
    });
}

/// Writes all entries of a commit in one statement: each statement is a trip to
/// the connection's own thread and back, which costs more than the rows.
///
/// # Errors
/// The store's.
pub(super) async fn keep(connection: &mut SqliteConnection, entries: &[Waiting]) -> sqlx::Result<()> {
    let entries = match entries {
        [] => return Ok(()),
        [one] => return keep_one(connection, one).await,
        many => serde_json::to_string(many).map_err(|error| sqlx::Error::Encode(error.into()))?,
    };
    sqlx::query!(
        "insert into journal (at, actor, account_id, verb, subject, subject_id, event_id, title, before, after)
         select value ->> 'at', value ->> 'actor', value ->> 'account_id', value ->> 'verb', value ->> 'subject',
                value ->> 'subject_id', value ->> 'event_id', value ->> 'title', value ->> 'before', value ->> 'after'
         from json_each(?) order by key",
        entries
    )
    .execute(connection)
    .await
    .map(|_| ())
}

/// The same for one, as most commits have, without the detour.
async fn keep_one(connection: &mut SqliteConnection, one: &Waiting) -> sqlx::Result<()> {
    sqlx::query!(
        "insert into journal (at, actor, account_id, verb, subject, subject_id, event_id, title, before, after)
         values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        one.at,
        one.actor,
        one.account_id,
        one.verb,
        one.subject,
        one.subject_id,
        one.event_id,
        one.title,
        one.before,
        one.after
    )
    .execute(connection)
    .await
    .map(|_| ())
}

/// An entry as it is read back.
#[derive(Debug)]
pub struct Told {
    pub id: i64,
    pub at: OffsetDateTime,
    /// A name, "Somebody with a link" or "Burnday".
    pub who: String,
    pub verb: String,
    pub subject: String,
    pub subject_id: Option<i64>,
    pub event_id: Option<i64>,
    pub title: String,
    pub changes: Vec<Change>,
}

/// One field of an entry that differs.
#[derive(Debug, PartialEq, Eq)]
pub struct Change {
    pub field: String,
    pub before: String,
    pub after: String,
}

/// The newest entries older than `before_id`, newest first: those of an event,
/// or for `None` those that belong to no event.
///
/// # Errors
/// The store's.
pub async fn page(db: &SqlitePool, event_id: Option<i64>, before_id: i64, limit: i64) -> Result<Vec<Told>> {
    let rows = sqlx::query_as!(
        Row,
        r#"select j.id as "id!", j.at as "at!", j.actor as "actor!", p.name as "name?", j.verb as "verb!",
                  j.subject as "subject!", j.subject_id, j.event_id, j.title as "title!", j.before, j.after
           from journal j left join account a on a.id = j.account_id left join person p on p.id = a.person_id
           where j.event_id is ? and j.id < ? order by j.id desc limit ?"#,
        event_id,
        before_id,
        limit
    )
    .fetch_all(db)
    .await?;
    rows.into_iter().map(Row::told).collect()
}

/// Everything about one thing, newest first.
///
/// # Errors
/// The store's.
pub async fn of(db: &SqlitePool, subject: &str, subject_id: i64) -> Result<Vec<Told>> {
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
    rows.into_iter().map(Row::told).collect()
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
    fn told(self) -> Result<Told> {
        let parse = |text: Option<String>| text.map(|text| serde_json::from_str::<Value>(&text)).transpose();
        let changes = changes(parse(self.before)?.as_ref(), parse(self.after)?.as_ref());
        let who = match self.actor.as_str() {
            "account" => self.name.unwrap_or_default(),
            "link" => "Somebody with a link".to_owned(),
            _ => "Burnday".to_owned(),
        };
        Ok(Told {
            id: self.id,
            at: OffsetDateTime::from_unix_timestamp(self.at)?,
            who,
            verb: self.verb,
            subject: self.subject,
            subject_id: self.subject_id,
            event_id: self.event_id,
            title: self.title,
            changes,
        })
    }
}

fn changes(before: Option<&Value>, after: Option<&Value>) -> Vec<Change> {
    let empty = serde_json::Map::new();
    let before = before.and_then(Value::as_object).unwrap_or(&empty);
    let after = after.and_then(Value::as_object).unwrap_or(&empty);
    let mut fields: Vec<&String> = before.keys().chain(after.keys()).collect();
    fields.sort();
    fields.dedup();
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
