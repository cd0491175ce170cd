//! A message with everything known about it.

use super::{MailState, instant, known};
use crate::error::Result;
use crate::mail::letter::{Kind, Mailbox};
use serde::Deserialize;
use sqlx::SqliteConnection;
use time::OffsetDateTime;

/// A message with everything known about it.
#[derive(Debug, Clone)]
pub struct Mail {
    pub id: i64,
    pub kind: Kind,
    pub event_id: Option<i64>,
    pub person_id: Option<i64>,
    pub to: Mailbox,
    pub reply_to: Mailbox,
    pub subject: String,
    pub text: String,
    pub html: String,
    /// Calendar files, each with its method.
    pub calendars: Vec<(String, String)>,
    pub message_id: String,
    pub in_reply_to: Option<String>,
    pub state: MailState,
    pub urgent: bool,
    pub due_at: OffsetDateTime,
    pub not_after: OffsetDateTime,
    pub next_try_at: OffsetDateTime,
    pub attempts: i64,
    pub unsure: i64,
    pub code: String,
    pub words: String,
    pub settled_at: Option<OffsetDateTime>,
    pub created_at: OffsetDateTime,
}

struct MailRow {
    id: i64,
    kind: String,
    event_id: Option<i64>,
    person_id: Option<i64>,
    to_name: String,
    to_address: String,
    reply_name: String,
    reply_address: String,
    subject: String,
    text: String,
    html: String,
    calendar: Option<String>,
    method: Option<String>,
    more_calendars: String,
    message_id: String,
    in_reply_to: Option<String>,
    state: String,
    urgent: i64,
    due_at: i64,
    not_after: i64,
    next_try_at: i64,
    attempts: i64,
    unsure: i64,
    code: String,
    words: String,
    settled_at: Option<i64>,
    created_at: i64,
}

#[derive(Deserialize)]
struct CalendarRow {
    method: String,
    text: String,
}

fn calendars(first: Option<(String, String)>, more: &str) -> Result<Vec<(String, String)>> {
    let more: Vec<CalendarRow> = serde_json::from_str(more)?;
    Ok(first.into_iter().chain(more.into_iter().map(|row| (row.method, row.text))).collect())
}

impl MailRow {
    fn mail(self) -> Result<Mail> {
        Ok(Mail {
            id: self.id,
            kind: known(&self.kind)?,
            event_id: self.event_id,
            person_id: self.person_id,
            to: Mailbox { name: self.to_name, address: self.to_address },
            reply_to: Mailbox { name: self.reply_name, address: self.reply_address },
            subject: self.subject,
            text: self.text,
            html: self.html,
            calendars: calendars(self.method.zip(self.calendar), &self.more_calendars)?,
            message_id: self.message_id,
            in_reply_to: self.in_reply_to,
            state: known(&self.state)?,
            urgent: self.urgent != 0,
            due_at: instant(self.due_at)?,
            not_after: instant(self.not_after)?,
            next_try_at: instant(self.next_try_at)?,
            attempts: self.attempts,
            unsure: self.unsure,
            code: self.code,
            words: self.words,
            settled_at: self.settled_at.map(instant).transpose()?,
            created_at: instant(self.created_at)?,
        })
    }
}

/// One message.
pub async fn find(db: &mut SqliteConnection, id: i64) -> Result<Option<Mail>> {
    let row = sqlx::query_as!(
        MailRow,
        r#"select id as "id!", kind, event_id, person_id, to_name, to_address, reply_name, reply_address, subject, text,
                  html, calendar, method, more_calendars, message_id, in_reply_to, state, urgent, due_at, not_after, next_try_at,
                  attempts, unsure, code, words, settled_at, created_at
           from mail where id = ?"#,
        id
    )
    .fetch_optional(db)
    .await?;
    row.map(MailRow::mail).transpose()
}
