//! Calls that brought no answer.

use crate::asks::Request;
use crate::asks::store::entry;
use crate::db::Tx;
use crate::db::journal::{Actor, record};
use crate::error::Result;
use sqlx::SqliteConnection;
use time::OffsetDateTime;

/// A message that someone left.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::asks) struct LeftMessage {
    pub id: i64,
    pub request_id: i64,
    /// May be empty.
    pub note: String,
    pub at: OffsetDateTime,
    /// The name of whoever called.
    pub by: String,
}

struct Row {
    id: i64,
    request_id: i64,
    note: String,
    at: i64,
    by: String,
}

impl Row {
    fn message(self) -> Result<LeftMessage> {
        let Self { id, request_id, note, at, by } = self;
        Ok(LeftMessage { id, request_id, note, at: OffsetDateTime::from_unix_timestamp(at)?, by })
    }
}

/// All of an event, oldest first.
pub(in crate::asks) async fn of_event(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<LeftMessage>> {
    let rows = sqlx::query_as!(
        Row,
        r#"select c.id as "id!", c.request_id as "request_id!", c.note as "note!", c.at as "at!", p.name as "by!"
           from ask_call c join request r on r.id = c.request_id join account a on a.id = c.recorded_by
                join person p on p.id = a.person_id
           where r.event_id = ? order by c.id"#,
        event_id
    );
    rows.fetch_all(db).await?.into_iter().map(Row::message).collect()
}

/// All about a question, oldest first.
pub(in crate::asks) async fn of_request(db: &mut SqliteConnection, request_id: i64) -> Result<Vec<LeftMessage>> {
    let rows = sqlx::query_as!(
        Row,
        r#"select c.id as "id!", c.request_id as "request_id!", c.note as "note!", c.at as "at!", p.name as "by!"
           from ask_call c join account a on a.id = c.recorded_by join person p on p.id = a.person_id
           where c.request_id = ? order by c.id"#,
        request_id
    );
    rows.fetch_all(db).await?.into_iter().map(Row::message).collect()
}

/// Saves that someone left a message about a question, and returns its number.
pub(in crate::asks) async fn add(
    tx: &mut Tx,
    by: i64,
    request: &Request,
    note: &str,
    now: OffsetDateTime,
) -> Result<i64> {
    let at = now.unix_timestamp();
    let id = sqlx::query!(
        "insert into ask_call (request_id, kind, note, at, recorded_by) values (?, 'left a message', ?, ?, ?)",
        request.id,
        note,
        at,
        by
    )
    .execute(&mut **tx)
    .await?
    .last_insert_rowid();
    // The note is private and can be erased, so it isn't repeated here.
    let verb = "left a message about";
    record(tx, now, entry(Actor::Account(by), verb, request.event_id, request.id, &request.question));
    Ok(id)
}

/// Removes such a message. False if it is gone already.
pub(in crate::asks) async fn remove(
    tx: &mut Tx,
    by: i64,
    request: &Request,
    id: i64,
    now: OffsetDateTime,
) -> Result<bool> {
    let done =
        sqlx::query!("delete from ask_call where id = ? and request_id = ?", id, request.id).execute(&mut **tx).await?;
    if done.rows_affected() == 0 {
        return Ok(false);
    }
    let verb = "removed a message about";
    record(tx, now, entry(Actor::Account(by), verb, request.event_id, request.id, &request.question));
    Ok(true)
}
