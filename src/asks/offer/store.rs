//! All SQL of offers.

use crate::db::Tx;
use crate::error::Result;
use serde_json::json;
use sqlx::SqliteConnection;
use time::OffsetDateTime;

/// An offer made with one answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Made {
    pub request_id: i64,
    pub said: String,
    /// In their own words. May be empty.
    pub what: String,
    pub fetch: String,
    pub photo_id: Option<i64>,
    pub at: OffsetDateTime,
}

/// Saves what is offered with the newest answer to an ask. The answer itself goes into the
/// journal.
pub(super) async fn insert(
    tx: &mut Tx,
    ask_id: i64,
    (lines, fetch): (&[usize], &str),
    photo_id: Option<i64>,
) -> Result<()> {
    let lines = json!(lines).to_string();
    sqlx::query!(
        "insert into offer (answer_id, lines, fetch, photo_id) select max(id), ?, ?, ? from answer where ask_id = ?",
        lines,
        fetch,
        photo_id,
        ask_id
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// The lines offered last, and when we can pick them up.
pub(super) async fn last(db: &mut SqliteConnection, request_id: i64) -> Result<Option<(Vec<usize>, String)>> {
    let row = sqlx::query!(
        "select o.lines, o.fetch from offer o join answer n on n.id = o.answer_id join ask a on a.id = n.ask_id
         where a.request_id = ? and a.lapsed_at is null order by n.id desc limit 1",
        request_id
    );
    let row = row.fetch_optional(db).await?;
    row.map(|row| Ok((serde_json::from_str(&row.lines)?, row.fetch))).transpose()
}

/// How many photos came with the answers to a question.
pub(super) async fn photos_of(db: &mut SqliteConnection, request_id: i64) -> Result<i64> {
    let many = sqlx::query_scalar!(
        "select count(*) from offer o join answer n on n.id = o.answer_id join ask a on a.id = n.ask_id
         where a.request_id = ? and o.photo_id is not null",
        request_id
    );
    Ok(many.fetch_one(db).await?)
}

/// An event's offers, newest first.
pub async fn offers(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Made>> {
    let rows = sqlx::query!(
        "select a.request_id, n.said, n.note, o.fetch, o.photo_id, n.at
         from offer o join answer n on n.id = o.answer_id join ask a on a.id = n.ask_id
              join request r on r.id = a.request_id
         where r.event_id = ? order by n.id desc",
        event_id
    );
    let rows = rows.fetch_all(db).await?.into_iter().map(|row| {
        Ok(Made {
            request_id: row.request_id,
            said: row.said,
            what: row.note,
            fetch: row.fetch,
            photo_id: row.photo_id,
            at: OffsetDateTime::from_unix_timestamp(row.at)?,
        })
    });
    rows.collect()
}
