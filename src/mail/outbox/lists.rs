//! The messages of the outbox as lists show them.

use super::{MailState, instant, known};
use crate::error::Result;
use crate::mail::letter::{Kind, Mailbox};
use sqlx::SqlitePool;
use time::OffsetDateTime;

/// A message as lists show it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    pub id: i64,
    pub kind: Kind,
    pub subject: String,
    pub to: Mailbox,
    pub state: MailState,
    /// What the relay said last, or why the message wasn't sent.
    pub words: String,
    /// When it was settled; until then, when it is tried next.
    pub at: OffsetDateTime,
    pub attempts: i64,
}

struct LineRow {
    id: i64,
    kind: String,
    subject: String,
    to_name: String,
    to_address: String,
    state: String,
    words: String,
    at: i64,
    attempts: i64,
}

impl LineRow {
    fn line(self) -> Result<Line> {
        Ok(Line {
            id: self.id,
            kind: known(&self.kind)?,
            subject: self.subject,
            to: Mailbox { name: self.to_name, address: self.to_address },
            state: known(&self.state)?,
            words: self.words,
            at: instant(self.at)?,
            attempts: self.attempts,
        })
    }
}

/// The messages to one person, newest first.
pub async fn of_person(db: &SqlitePool, person_id: i64) -> Result<Vec<Line>> {
    let rows = sqlx::query_as!(
        LineRow,
        r#"select id as "id!", kind, subject, to_name, to_address, state, words, attempts,
                  coalesce(settled_at, next_try_at) as "at!: i64"
           from mail where person_id = ? order by id desc limit 200"#,
        person_id
    );
    rows.fetch_all(db).await?.into_iter().map(LineRow::line).collect()
}

/// The messages about one question, newest first.
pub async fn of_request(db: &SqlitePool, request_id: i64) -> Result<Vec<Line>> {
    let rows = sqlx::query_as!(
        LineRow,
        r#"select id as "id!", kind, subject, to_name, to_address, state, words, attempts,
                  coalesce(settled_at, next_try_at) as "at!: i64"
           from mail where request_id = ? order by id desc limit 200"#,
        request_id
    );
    rows.fetch_all(db).await?.into_iter().map(LineRow::line).collect()
}

/// Messages with one status, after the first `skip`, of one event or of all: those waiting
/// in the order they will be tried, all others newest first. Those being sent count as
/// waiting.
pub async fn list(
    db: &SqlitePool,
    event_id: Option<i64>,
    state: MailState,
    skip: i64,
    limit: i64,
) -> Result<Vec<Line>> {
    let rows = if state == MailState::Waiting {
        sqlx::query_as!(
            LineRow,
            r#"select id as "id!", kind, subject, to_name, to_address, state, words, attempts,
                      next_try_at as "at!: i64"
               from mail where state in ('sending', 'waiting') and (?1 is null or event_id = ?1)
               order by state, next_try_at, id limit ?2 offset ?3"#,
            event_id,
            limit,
            skip
        )
        .fetch_all(db)
        .await?
    } else {
        let state = state.as_str();
        sqlx::query_as!(
            LineRow,
            r#"select id as "id!", kind, subject, to_name, to_address, state, words, attempts,
                      coalesce(settled_at, next_try_at) as "at!: i64"
               from mail where state = ?1 and (?2 is null or event_id = ?2)
               order by settled_at desc, id desc limit ?3 offset ?4"#,
            state,
            event_id,
            limit,
            skip
        )
        .fetch_all(db)
        .await?
    };
    rows.into_iter().map(LineRow::line).collect()
}

/// How many messages of one event, or of all, have each status; those being sent count as
/// waiting.
pub async fn counts(db: &SqlitePool, event_id: Option<i64>) -> Result<Vec<(MailState, i64)>> {
    let rows = sqlx::query!(
        r#"select state, count(*) as "number!: i64" from mail where ?1 is null or event_id = ?1 group by state"#,
        event_id
    );
    let rows = rows.fetch_all(db).await?;
    let mut counts = Vec::new();
    for row in rows {
        let state: MailState = known(&row.state)?;
        let state = if state == MailState::Sending { MailState::Waiting } else { state };
        counts.push((state, row.number));
    }
    Ok(counts)
}
