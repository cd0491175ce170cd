//! Who changed what, and when, written in the same transaction as the change. Rows are only
//! added, except when a person's data is erased.

use super::Tx;
use crate::error::Result;
use serde::Serialize;
use serde_json::Value;
use sqlx::{SqliteConnection, SqlitePool};
use time::OffsetDateTime;

/// Who acts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Actor {
    /// Someone who is signed in, by the number of the account.
    Account(i64),
    /// Someone with an emailed or copied link.
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
    /// What people call the thing.
    pub title: &'a str,
    /// Objects with the same fields. A field that differs was changed.
    pub before: Option<Value>,
    pub after: Option<Value>,
}

/// An entry that waits for its commit.
#[derive(Debug, Clone, Serialize)]
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

/// Adds an entry, to be committed with this write.
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

/// Writes all entries of a commit in one statement. Each statement is a trip to the
/// connection's own thread and back, which costs more than the rows.
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

/// The same for a single entry, the usual case, without the detour.
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
///
/// # Errors
/// The store's.
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
///
/// # Errors
/// The store's.
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
///
/// # Errors
/// The store's.
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
///
/// # Errors
/// The store's.
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

/// Erases a person from the journal. It still says that something happened, when, and who
/// did it.
///
/// # Errors
/// The store's.
pub async fn forget(tx: &mut Tx, subject: &str, ids: &[i64], called: &str) -> Result<()> {
    let waiting = std::mem::take(&mut tx.entries);
    keep(&mut tx.connection, &waiting).await?;
    let list = serde_json::to_string(ids)?;
    let about = sqlx::query!(
        "select title, before, after from journal where subject = ? and subject_id in (select value from json_each(?))",
        subject,
        list
    )
    .fetch_all(&mut tx.connection)
    .await?;
    let mut words: Vec<String> = Vec::new();
    for row in about {
        words.push(row.title);
        for told in [row.before, row.after].into_iter().flatten() {
            let told: Value = serde_json::from_str(&told)?;
            words.extend(
                ["name", "mail", "phone", "was also"].iter().filter_map(|f| told[f].as_str().map(str::to_owned)),
            );
        }
    }
    sqlx::query!(
        "update journal set title = ?, before = null, after = null
         where subject = ? and subject_id in (select value from json_each(?))",
        called,
        subject,
        list
    )
    .execute(&mut tx.connection)
    .await?;
    forget_words(tx, &words, called).await
}

/// Replaces these words with a name that reveals nothing, wherever an entry holds one.
///
/// # Errors
/// The store's.
pub async fn forget_words(tx: &mut Tx, words: &[String], called: &str) -> Result<()> {
    let mut words: Vec<&str> = words.iter().map(String::as_str).filter(|word| !word.is_empty()).collect();
    words.sort_by_key(|word| (std::cmp::Reverse(word.len()), *word));
    words.dedup();
    for word in words {
        // As it is written inside an object, where quotation marks are escaped.
        let inside = serde_json::to_string(word)?;
        let inside = &inside[1..inside.len() - 1];
        let rows = sqlx::query!(
            r#"select id as "id!", title, before, after from journal
               where instr(title, ?) or instr(before, ?) or instr(after, ?)"#,
            word,
            inside,
            inside
        )
        .fetch_all(&mut tx.connection)
        .await?;
        for row in rows {
            let title = without(&row.title, word, called);
            let before = row.before.map(|told| without(&told, inside, called));
            let after = row.after.map(|told| without(&told, inside, called));
            sqlx::query!(
                "update journal set title = ?, before = ?, after = ? where id = ?",
                title,
                before,
                after,
                row.id
            )
            .execute(&mut tx.connection)
            .await?;
        }
    }
    Ok(())
}

/// The text with this word replaced where it is a word of its own. "Ana" is not part of
/// "Banana", and the Ana in "Ana Ruiz" may be someone else.
fn without(text: &str, word: &str, called: &str) -> String {
    if word.chars().all(char::is_alphabetic) {
        let whole = |word: &str| format!("\"{word}\"");
        return if text == word { called.to_owned() } else { text.replace(&whole(word), &whole(called)) };
    }
    let mut rest = text;
    let mut new = String::with_capacity(text.len());
    while let Some(place) = rest.find(word) {
        let (before, from) = rest.split_at(place);
        let after = &from[word.len()..];
        new.push_str(before);
        let is_part = new.chars().next_back().is_some_and(char::is_alphanumeric)
            || after.chars().next().is_some_and(char::is_alphanumeric);
        new.push_str(if is_part { word } else { called });
        rest = after;
    }
    new + rest
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
    fn a_name_is_replaced_where_it_is_a_word_of_its_own() {
        assert_eq!(without("Ana Lu asked Banana Lu, Ana Lu.", "Ana Lu", "N"), "N asked Banana Lu, N.");
        assert_eq!(without("Ana", "Ana", "N"), "N");
        assert_eq!(without("Ana Ruiz", "Ana", "N"), "Ana Ruiz");
        assert_eq!(without("{\"who\":\"Ana\"}", "Ana", "N"), "{\"who\":\"N\"}");
        assert_eq!(without("ñ555-0117, 555-0117", "555-0117", "N"), "ñ555-0117, N");
    }

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
