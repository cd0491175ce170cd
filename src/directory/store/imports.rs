//! Files of people: those that wait, and those that were imported.

use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::directory::reading::Field;
use crate::error::{Error, Result};
use serde_json::json;
use sqlx::SqlitePool;
use time::OffsetDateTime;

/// An uploaded file of people that isn't imported yet.
#[derive(Debug, Clone)]
pub struct Import {
    pub id: i64,
    /// The file's name in the data folder.
    pub key: String,
    pub file_name: String,
    /// What each column is, if someone chose; otherwise the headings tell.
    pub columns: Option<Vec<Option<Field>>>,
    /// Whether the first row names the columns, if someone said so; otherwise the rows tell.
    pub has_heading: Option<bool>,
    pub created_at: OffsetDateTime,
}

/// A file that was imported.
#[derive(Debug, Clone)]
pub struct Done {
    pub id: i64,
    pub file_name: String,
    pub who: String,
    pub people: i64,
    pub undone: bool,
    pub at: OffsetDateTime,
}

/// Saves that a file is waiting.
pub async fn keep_file(tx: &mut Tx, account_id: i64, key: &str, file_name: &str, now: OffsetDateTime) -> Result<i64> {
    let at = now.unix_timestamp();
    let kept = sqlx::query!(
        "insert into import (account_id, key, file_name, created_at) values (?, ?, ?, ?)",
        account_id,
        key,
        file_name,
        at
    );
    Ok(kept.execute(&mut **tx).await?.last_insert_rowid())
}

/// A file that is waiting for this account.
pub async fn waiting(db: &SqlitePool, id: i64, account_id: i64) -> Result<Option<Import>> {
    let row = sqlx::query!(
        r#"select id as "id!", key, file_name, columns, has_heading as "has_heading: bool", created_at from import
           where id = ? and account_id = ? and state = 'waiting'"#,
        id,
        account_id
    )
    .fetch_optional(db)
    .await?;
    row.map(|row| {
        Ok(Import {
            id: row.id,
            key: row.key,
            file_name: row.file_name,
            columns: row.columns.as_deref().map(columns).transpose()?,
            has_heading: row.has_heading,
            created_at: OffsetDateTime::from_unix_timestamp(row.created_at)?,
        })
    })
    .transpose()
}

fn columns(text: &str) -> Result<Vec<Option<Field>>> {
    let names: Vec<String> = serde_json::from_str(text)?;
    Ok(names.iter().map(|name| name.parse().ok()).collect())
}

/// Saves which field each column is.
pub async fn choose_columns(tx: &mut Tx, id: i64, columns: &[Option<Field>]) -> Result<()> {
    let names: Vec<&str> = columns.iter().map(|field| field.map_or("", Field::as_str)).collect();
    let names = json!(names).to_string();
    sqlx::query!("update import set columns = ? where id = ? and state = 'waiting'", names, id)
        .execute(&mut **tx)
        .await?;
    Ok(())
}

/// Saves whether a file's first row names its columns. What was chosen for the columns is
/// dropped.
pub async fn choose_heading(tx: &mut Tx, id: i64, has_heading: bool) -> Result<()> {
    sqlx::query!(
        "update import set has_heading = ?, columns = null where id = ? and state = 'waiting'",
        has_heading,
        id
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// Marks a file as imported, with that many people. False if it already was.
pub async fn settle(tx: &mut Tx, actor: Actor, import: &Import, people: i64, now: OffsetDateTime) -> Result<bool> {
    let at = now.unix_timestamp();
    let settled = sqlx::query!(
        "update import set state = 'done', people = ?, settled_at = ? where id = ? and state = 'waiting'",
        people,
        at,
        import.id
    );
    if settled.execute(&mut **tx).await?.rows_affected() == 0 {
        return Ok(false);
    }
    let entry = entry(actor, "brought in", import.id, &import.file_name);
    record(tx, now, Entry { after: Some(json!({"people": people})), ..entry });
    Ok(true)
}

/// Marks an import as undone. None if it isn't one that can be undone.
pub async fn unsettle(tx: &mut Tx, actor: Actor, id: i64, now: OffsetDateTime) -> Result<Option<i64>> {
    let row = sqlx::query!(
        "update import set state = 'undone' where id = ? and state = 'done' returning file_name, people",
        id
    )
    .fetch_optional(&mut **tx)
    .await?;
    let Some(row) = row else { return Ok(None) };
    let entry = entry(actor, "took out again", id, &row.file_name);
    record(tx, now, Entry { before: Some(json!({"people": row.people})), ..entry });
    Ok(Some(row.people))
}

fn entry<'a>(actor: Actor, verb: &'static str, id: i64, title: &'a str) -> Entry<'a> {
    Entry { actor, verb, subject: "file", subject_id: Some(id), event_id: None, title, before: None, after: None }
}

/// The imports, newest first.
pub async fn done(db: &SqlitePool) -> Result<Vec<Done>> {
    let rows = sqlx::query!(
        r#"select i.id as "id!", i.file_name, p.name as who, i.people, i.state = 'undone' as "undone!: i64",
                  i.settled_at as "at!"
           from import i join account a on a.id = i.account_id join person p on p.id = a.person_id
           where i.state <> 'waiting' order by i.id desc limit 20"#
    )
    .fetch_all(db)
    .await?;
    let one = |id, file_name, who, people, undone: i64, at| {
        let at = OffsetDateTime::from_unix_timestamp(at).map_err(Error::from)?;
        Ok(Done { id, file_name, who, people, undone: undone != 0, at })
    };
    rows.into_iter().map(|row| one(row.id, row.file_name, row.who, row.people, row.undone, row.at)).collect()
}

/// The number of the import that added this person, for the journal.
pub async fn import_of(db: &SqlitePool, person: i64) -> Result<Option<i64>> {
    Ok(sqlx::query_scalar!("select import_id from person where id = ?", person).fetch_optional(db).await?.flatten())
}

/// Drops files that waited too long.
pub async fn drop_waiting(tx: &mut Tx, since: OffsetDateTime) -> Result<()> {
    let since = since.unix_timestamp();
    sqlx::query!("delete from import where state = 'waiting' and created_at < ?", since).execute(&mut **tx).await?;
    Ok(())
}
