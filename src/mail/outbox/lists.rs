//! Reading what the outbox holds.

use super::claims::APART;
use super::{MailState, Night, instant, known};
use crate::error::Result;
use crate::mail::letter::{Kind, Mailbox};
use serde::Deserialize;
use sqlx::{SqliteConnection, SqlitePool};
use time::{Duration, OffsetDateTime};

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
///
/// # Errors
/// The store's.
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
///
/// # Errors
/// The store's.
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
///
/// # Errors
/// The store's.
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
///
/// # Errors
/// The store's.
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
///
/// # Errors
/// The store's.
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

/// How long the message has waited that could have gone out longest ago. Nights don't
/// count, nor does the time between two messages to one person.
///
/// # Errors
/// The store's.
pub async fn stuck_since(
    db: &SqlitePool,
    nights: &[Night],
    mornings: &[Night],
    now: OffsetDateTime,
) -> Result<Option<OffsetDateTime>> {
    let at = now.unix_timestamp();
    let lately = at - APART.whole_seconds();
    let (nights, mornings) = (serde_json::to_string(nights)?, serde_json::to_string(mornings)?);
    let since = sqlx::query_scalar!(
        r#"select min(max(m.next_try_at, coalesce(iif(m.urgent = 1, null,
                      (select n.value ->> 'until' from json_each(?2) n
                       where n.value ->> 'zone' = coalesce(e.zone, (select zone from department limit 1)))),
                   m.next_try_at))) as "since?: i64"
           from mail m left join event e on e.id = m.event_id
           where m.state = 'waiting' and m.next_try_at <= ?1 and m.not_after >= ?1
             and not exists (select 1 from mail_hold where held = 1)
             and (m.urgent = 1 or not exists (
                  select 1 from json_each(?3) n
                  where n.value ->> 'zone' = coalesce(e.zone, (select zone from department limit 1))))
             and (m.urgent = 1 or m.person_id is null or not exists (
                  select 1 from mail o where o.person_id = m.person_id and o.urgent = 0 and o.id <> m.id
                    and (o.state = 'sending'
                         or (o.state in ('sent', 'uncertain') and o.settled_at > ?4 and o.settled_at <= ?1))))"#,
        at,
        mornings,
        nights,
        lately
    )
    .fetch_one(db)
    .await?;
    since.map(instant).transpose()
}

/// When the oldest waiting message that is due was due.
///
/// # Errors
/// The store's.
pub async fn oldest_due(db: &SqlitePool, now: OffsetDateTime) -> Result<Option<OffsetDateTime>> {
    let at = now.unix_timestamp();
    let oldest = sqlx::query_scalar!(
        r#"select min(due_at) as "oldest?: i64" from mail where state in ('waiting', 'sending') and due_at <= ?"#,
        at
    );
    oldest.fetch_one(db).await?.map(instant).transpose()
}

/// What the relay said when it last refused a message because of its content or its
/// sender, rather than its address, if that was within a day.
///
/// # Errors
/// The store's.
pub async fn refused_by_policy(db: &SqlitePool, now: OffsetDateTime) -> Result<Option<String>> {
    let since = (now - Duration::DAY).unix_timestamp();
    let words = sqlx::query_scalar!(
        r#"select words as "words!" from mail where state = 'failed' and settled_at > ? and code like '5.7.%'
           order by settled_at desc, id desc limit 1"#,
        since
    );
    Ok(words.fetch_optional(db).await?)
}
