//! The outbox in the store: all SQL about mail.

use super::letter::{Kind, Letter, Mailbox};
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::{Error, Result};
use crate::named::named;
use crate::web::link::{LinkKey, Opens, Secret, short_id};
use crate::zone::Zone;
use anyhow::anyhow;
use serde::Serialize;
use serde_json::json;
use sqlx::{SqliteConnection, SqlitePool};
use std::str::FromStr;
use time::{Duration, OffsetDateTime};

named! {
    /// How far a message is.
    MailState, "Choose a state of mail.", MAIL_STATES: [
        Waiting = "waiting",
        Sending = "sending",
        // The relay took it; that is not yet an arrival.
        Sent = "sent",
        Failed = "failed",
        // The relay may have taken it; nobody knows.
        Uncertain = "uncertain",
        Cancelled = "cancelled",
        Expired = "expired",
    ]
}

/// Somebody gets at most one message that isn't urgent in this time.
const APART: Duration = Duration::minutes(10);
/// A message on which the program stopped is sent again at most this often.
const MOST_STOPS: i64 = 4;

/// Puts a letter into the outbox. None if one of its key is there already.
///
/// # Errors
/// The store's.
pub async fn queue(tx: &mut Tx, letter: &Letter, now: OffsetDateTime) -> Result<Option<i64>> {
    let host = letter.reply_to.address.rsplit('@').next().unwrap_or("localhost");
    // Made once and for all tries, so that a second copy is known as one.
    let message_id = format!("{}.{}.{}@{host}", now.unix_timestamp(), short_id(), short_id());
    let (kind, method) = (letter.kind.as_str(), letter.calendar.as_ref().map(|calendar| calendar.method.as_str()));
    let calendar = letter.calendar.as_ref().map(|calendar| calendar.text.as_str());
    let (due_at, not_after) = (letter.due_at.unix_timestamp(), letter.not_after.unix_timestamp());
    let at = now.unix_timestamp();
    let done = sqlx::query!(
        "insert into mail (kind, event_id, person_id, request_id, date_revision, dedup, to_name, to_address, reply_name,
                           reply_address, subject, text, html, calendar, method, message_id, in_reply_to, urgent,
                           due_at, not_after, next_try_at, created_at)
         values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?,
                 coalesce(?, (select first.message_id from mail first where first.request_id = ? order by first.id limit 1)),
                 ?, ?, ?, ?, ?)
         on conflict (dedup) do nothing",
        kind,
        letter.event_id,
        letter.person_id,
        letter.request_id,
        letter.date_revision,
        letter.dedup,
        letter.to.name,
        letter.to.address,
        letter.reply_to.name,
        letter.reply_to.address,
        letter.subject,
        letter.body.text,
        letter.body.html,
        calendar,
        method,
        message_id,
        letter.in_reply_to,
        letter.request_id,
        letter.urgent,
        due_at,
        not_after,
        due_at,
        at
    )
    .execute(&mut **tx)
    .await?;
    Ok((done.rows_affected() > 0).then(|| done.last_insert_rowid()))
}

/// Takes back what waits about a question.
///
/// # Errors
/// The store's.
pub async fn cancel_for_request(tx: &mut Tx, request_id: i64, why: &str, now: OffsetDateTime) -> Result<u64> {
    let at = now.unix_timestamp();
    let done = sqlx::query!(
        "update mail set state = 'cancelled', words = ?, settled_at = ? where request_id = ? and state = 'waiting'",
        why,
        at,
        request_id
    )
    .execute(&mut **tx)
    .await?;
    Ok(done.rows_affected())
}

/// Takes back what waits about an event and says something of a time before
/// this revision of its date. What is being sent is stopped by the look before
/// its text goes over.
///
/// # Errors
/// The store's.
pub async fn cancel_for_event(
    tx: &mut Tx,
    event_id: i64,
    before_revision: i64,
    why: &str,
    now: OffsetDateTime,
) -> Result<u64> {
    let at = now.unix_timestamp();
    let done = sqlx::query!(
        "update mail set state = 'cancelled', words = ?, settled_at = ?
         where event_id = ? and date_revision < ? and state = 'waiting'",
        why,
        at,
        event_id,
        before_revision
    )
    .execute(&mut **tx)
    .await?;
    Ok(done.rows_affected())
}

/// Who was told, or may have been told, something of an event that its date has
/// moved on from: their numbers, each with the Message-ID of the first letter
/// to them about it, which a correction answers to.
///
/// # Errors
/// The store's.
pub async fn told_since(tx: &mut Tx, event_id: i64) -> Result<Vec<(i64, String)>> {
    let rows = sqlx::query!(
        r#"select m.person_id as "person_id!", m.message_id as "message_id!"
           from mail m join event e on e.id = m.event_id
           where m.event_id = ? and m.person_id is not null and m.date_revision < e.date_revision
             and (m.state in ('sent', 'uncertain') or m.data_at is not null or m.unsure > 0)
           order by m.id"#,
        event_id
    )
    .fetch_all(&mut **tx)
    .await?;
    let mut told: Vec<(i64, String)> = Vec::new();
    for row in rows {
        if !told.iter().any(|(person, _)| *person == row.person_id) {
            told.push((row.person_id, row.message_id));
        }
    }
    Ok(told)
}

/// A message as lists show it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    pub id: i64,
    pub kind: Kind,
    pub subject: String,
    pub to: Mailbox,
    pub state: MailState,
    /// What the relay said last, or why it wasn't sent.
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

fn known<T: FromStr>(text: &str) -> Result<T> {
    text.parse().map_err(|_| Error::Internal(anyhow!("an unknown word of mail in the store: {text}")))
}

fn instant(at: i64) -> Result<OffsetDateTime> {
    Ok(OffsetDateTime::from_unix_timestamp(at)?)
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

/// Messages of one state, `skip` of them left out: what waits in the order in
/// which it is tried, all else newest first. What is being sent waits too.
///
/// # Errors
/// The store's.
pub async fn list(db: &SqlitePool, state: MailState, skip: i64, limit: i64) -> Result<Vec<Line>> {
    let rows = if state == MailState::Waiting {
        sqlx::query_as!(
            LineRow,
            r#"select id as "id!", kind, subject, to_name, to_address, state, words, attempts,
                      next_try_at as "at!: i64"
               from mail where state in ('sending', 'waiting') order by state, next_try_at, id limit ? offset ?"#,
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
               from mail where state = ? order by settled_at desc, id desc limit ? offset ?"#,
            state,
            limit,
            skip
        )
        .fetch_all(db)
        .await?
    };
    rows.into_iter().map(LineRow::line).collect()
}

/// How many messages there are in each state; what is being sent waits too.
///
/// # Errors
/// The store's.
pub async fn counts(db: &SqlitePool) -> Result<Vec<(MailState, i64)>> {
    let rows =
        sqlx::query!(r#"select state, count(*) as "number!: i64" from mail group by state"#).fetch_all(db).await?;
    let mut counts = Vec::new();
    for row in rows {
        let state: MailState = known(&row.state)?;
        let state = if state == MailState::Sending { MailState::Waiting } else { state };
        counts.push((state, row.number));
    }
    Ok(counts)
}

/// A message with all that is known of it.
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
    /// The method and the file.
    pub calendar: Option<(String, String)>,
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
            calendar: self.method.zip(self.calendar),
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
                  html, calendar, method, message_id, in_reply_to, state, urgent, due_at, not_after, next_try_at,
                  attempts, unsure, code, words, settled_at, created_at
           from mail where id = ?"#,
        id
    )
    .fetch_optional(db)
    .await?;
    row.map(MailRow::mail).transpose()
}

/// What an earlier run of the program left half done. Its text had not begun
/// to go over: it waits again. It had: nobody knows whether it was taken. What
/// must arrive is sent once more under its old number, all else is left.
///
/// # Errors
/// The store's.
pub async fn free(tx: &mut Tx, run: &str, now: OffsetDateTime) -> Result<u64> {
    let at = now.unix_timestamp();
    let again = "The program stopped while this was being sent. It may have been taken; it goes out once more under \
                 the same Message-ID.";
    let left = "The program stopped while this was being sent. It may have been taken.";
    let waiting = sqlx::query!(
        "update mail set state = 'waiting', sender = null, words = iif(data_at is null, words, ?),
                         unsure = unsure + (data_at is not null), next_try_at = max(next_try_at, ?), data_at = null
         where state = 'sending' and sender <> ?
           and (data_at is null or (kind in ('ask', 'notice') and unsure < ?))",
        again,
        at,
        run,
        MOST_STOPS
    )
    .execute(&mut **tx)
    .await?;
    let uncertain = sqlx::query!(
        "update mail set state = 'uncertain', sender = null, words = ?, settled_at = ?
         where state = 'sending' and sender <> ?",
        left,
        at,
        run
    )
    .execute(&mut **tx)
    .await?;
    Ok(waiting.rows_affected() + uncertain.rows_affected())
}

/// A zone in which it is night, and when that ends.
#[derive(Debug, Clone, Serialize)]
pub struct Night {
    pub zone: String,
    pub until: i64,
}

/// The zones that mail goes by: of its event, else of the department.
///
/// # Errors
/// The store's.
pub async fn zones(db: &SqlitePool) -> Result<Vec<Zone>> {
    let names = sqlx::query_scalar!(r#"select zone as "zone!" from department union select zone from event"#);
    Ok(names.fetch_all(db).await?.iter().filter_map(|name| Zone::named(name)).collect())
}

/// Is there anything to send now?
///
/// # Errors
/// The store's.
pub async fn is_due(db: &SqlitePool, nights: &[Night], now: OffsetDateTime) -> Result<bool> {
    let mut connection = db.acquire().await?;
    Ok(next(&mut connection, nights, now.unix_timestamp()).await?.is_some())
}

/// Takes the next message for this run of the program. None if nothing may go
/// now.
///
/// # Errors
/// The store's.
pub async fn claim(
    tx: &mut Tx,
    run: &str,
    nights: &[Night],
    key: &LinkKey,
    now: OffsetDateTime,
) -> Result<Option<Mail>> {
    let at = now.unix_timestamp();
    let Some(id) = next(tx, nights, at).await? else { return Ok(None) };
    sqlx::query!("update mail set state = 'sending', sender = ?, data_at = null where id = ?", run, id)
        .execute(&mut **tx)
        .await?;
    let mail = find(tx, id).await?;
    if let Some(Mail { kind: Kind::Announcement, person_id: Some(person), .. }) = &mail {
        open_wish(tx, key, *person, now).await?;
    }
    Ok(mail)
}

/// Makes the link in somebody's announcements open their wish for no more.
///
/// # Errors
/// The store's.
pub async fn open_wish(tx: &mut Tx, key: &LinkKey, person: i64, now: OffsetDateTime) -> Result<()> {
    let (hash, at) = (key.secret(Opens::Announcements, person, 1).hash(), now.unix_timestamp());
    sqlx::query!(
        "insert into announcement_link (token_hash, person_id, created_at) values (?, ?, ?) on conflict do nothing",
        hash,
        person,
        at
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}

async fn next(db: &mut SqliteConnection, nights: &[Night], at: i64) -> Result<Option<i64>> {
    let urgent = sqlx::query_scalar!(
        r#"select id as "id!" from mail
           where state = 'waiting' and urgent = 1 and next_try_at <= ?1 and not_after >= ?1
             and not exists (select 1 from mail_hold where held = 1)
           order by next_try_at, id limit 1"#,
        at
    )
    .fetch_optional(&mut *db)
    .await?;
    if urgent.is_some() {
        return Ok(urgent);
    }
    let nights = serde_json::to_string(nights)?;
    let lately = at - APART.whole_seconds();
    let calm = sqlx::query_scalar!(
        r#"select m.id as "id!" from mail m left join event e on e.id = m.event_id
           where m.state = 'waiting' and m.urgent = 0 and m.next_try_at <= ?1 and m.not_after >= ?1
             and not exists (select 1 from mail_hold where held = 1)
             and not exists (select 1 from json_each(?2) n
                             where n.value ->> 'zone' = coalesce(e.zone, (select zone from department limit 1))
                               and n.value ->> 'until' < m.not_after)
             and (m.person_id is null or not exists (
                  select 1 from mail o where o.person_id = m.person_id and o.urgent = 0 and o.id <> m.id
                    and (o.state = 'sending'
                         or (o.state in ('sent', 'uncertain') and o.settled_at > ?3 and o.settled_at <= ?1))))
           order by m.next_try_at, m.id limit 1"#,
        at,
        nights,
        lately
    )
    .fetch_optional(&mut *db)
    .await?;
    Ok(calm)
}

/// What the look right before a message's text goes over says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Look {
    Go,
    /// It was settled: it isn't true, wished or in time any more.
    Settled,
    /// It waits again: all mail is held.
    Held,
    /// It isn't this run's any more.
    Lost,
}

struct Facts {
    kind: String,
    revision: Option<i64>,
    revision_now: Option<i64>,
    person_id: Option<i64>,
    forgotten: i64,
    no_mail: i64,
    request_id: Option<i64>,
    request: i64,
    withdrawn: i64,
    open: i64,
    not_after: i64,
    held: i64,
}

impl Facts {
    /// Why it must not go, if it mustn't.
    fn against(&self, at: i64) -> Result<Option<(MailState, &'static str)>> {
        let kind: Kind = known(&self.kind)?;
        let asks = matches!(kind, Kind::Ask | Kind::Reminder);
        let why = if self.revision.is_some() && self.revision != self.revision_now {
            "The burn day was moved before this could go out."
        } else if self.person_id.is_some() && self.forgotten != 0 {
            "The person was forgotten before this could go out."
        } else if kind == Kind::Announcement && self.no_mail != 0 {
            "The person wants no announcements."
        } else if asks && self.request_id.is_some() && (self.request == 0 || self.withdrawn != 0) {
            "The question was withdrawn before this could go out."
        } else if kind == Kind::Reminder && self.request_id.is_some() && self.open == 0 {
            "The question was answered before this could go out."
        } else if self.not_after < at {
            return Ok(Some((MailState::Expired, LATE)));
        } else {
            return Ok(None);
        };
        Ok(Some((MailState::Cancelled, why)))
    }
}

const LATE: &str = "It could not go out in time; later it would have been wrong or useless.";

/// The look right before a message's text goes over, in the order of all
/// writes: whatever was committed before it counts.
///
/// # Errors
/// The store's.
pub async fn look(tx: &mut Tx, id: i64, run: &str, now: OffsetDateTime) -> Result<Look> {
    let at = now.unix_timestamp();
    let facts = sqlx::query_as!(
        Facts,
        r#"select m.kind as "kind!", m.date_revision as revision, e.date_revision as "revision_now?", m.person_id,
                  m.request_id, m.not_after as "not_after!",
                  p.forgotten_at is not null as "forgotten!: i64", coalesce(p.no_mail, 0) as "no_mail!: i64",
                  r.id is not null as "request!: i64", r.withdrawn_at is not null as "withdrawn!: i64",
                  exists (select 1 from ask a where a.request_id = m.request_id and a.lapsed_at is null
                            and not exists (select 1 from answer w where w.ask_id = a.id)) as "open!: i64",
                  exists (select 1 from mail_hold where held = 1) as "held!: i64"
           from mail m left join event e on e.id = m.event_id left join person p on p.id = m.person_id
                left join request r on r.id = m.request_id
           where m.id = ? and m.state = 'sending' and m.sender = ?"#,
        id,
        run
    )
    .fetch_optional(&mut **tx)
    .await?;
    let Some(facts) = facts else { return Ok(Look::Lost) };
    if let Some((state, why)) = facts.against(at)? {
        settle(tx, id, run, &Settled { state, code: "", words: why }, now).await?;
        return Ok(Look::Settled);
    }
    if facts.held != 0 {
        wait(tx, id, run, None, now).await?;
        return Ok(Look::Held);
    }
    sqlx::query!("update mail set data_at = ? where id = ?", at, id).execute(&mut **tx).await?;
    Ok(Look::Go)
}

/// What became of a message.
#[derive(Debug)]
pub struct Settled<'a> {
    pub state: MailState,
    pub code: &'a str,
    pub words: &'a str,
}

/// Settles a message of this run.
///
/// # Errors
/// The store's.
pub async fn settle(tx: &mut Tx, id: i64, run: &str, to: &Settled<'_>, now: OffsetDateTime) -> Result<()> {
    let (state, at) = (to.state.as_str(), now.unix_timestamp());
    sqlx::query!(
        "update mail set state = ?, code = ?, words = ?, settled_at = ?, sender = null
         where id = ? and state = 'sending' and sender = ?",
        state,
        to.code,
        to.words,
        at,
        id,
        run
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// When and why a message is tried again.
#[derive(Debug)]
pub struct Again<'a> {
    pub at: OffsetDateTime,
    pub code: &'a str,
    pub words: &'a str,
    /// The relay put this one off.
    pub attempt: bool,
    /// The relay may have taken it.
    pub unsure: bool,
}

/// Lets a message of this run wait again: untouched, or until later.
///
/// # Errors
/// The store's.
pub async fn wait(tx: &mut Tx, id: i64, run: &str, again: Option<&Again<'_>>, now: OffsetDateTime) -> Result<()> {
    let Some(again) = again else {
        sqlx::query!(
            "update mail set state = 'waiting', sender = null, data_at = null
             where id = ? and state = 'sending' and sender = ?",
            id,
            run
        )
        .execute(&mut **tx)
        .await?;
        return Ok(());
    };
    let (at, next) = (now.unix_timestamp(), again.at.unix_timestamp());
    // What could only be tried after its time is over now.
    sqlx::query!(
        "update mail set state = iif(not_after < ?2, 'expired', 'waiting'), settled_at = iif(not_after < ?2, ?3, null),
                         next_try_at = ?2, code = ?4, words = ?5, attempts = attempts + ?6, unsure = unsure + ?7,
                         sender = null, data_at = null
         where id = ?1 and state = 'sending' and sender = ?8",
        id,
        next,
        at,
        again.code,
        again.words,
        again.attempt,
        again.unsure,
        run
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// Settles what was not sent in time.
///
/// # Errors
/// The store's.
pub async fn expire(tx: &mut Tx, now: OffsetDateTime) -> Result<u64> {
    let at = now.unix_timestamp();
    let done = sqlx::query!(
        "update mail set state = 'expired', words = iif(words = '', ?, ? || ' ' || words), settled_at = ?
         where state = 'waiting' and not_after < ?",
        LATE,
        LATE,
        at,
        at
    )
    .execute(&mut **tx)
    .await?;
    Ok(done.rows_affected())
}

/// Is anything past its time?
///
/// # Errors
/// The store's.
pub async fn has_expired(db: &SqlitePool, now: OffsetDateTime) -> Result<bool> {
    let at = now.unix_timestamp();
    let one = sqlx::query_scalar!(
        r#"select exists (select 1 from mail where state = 'waiting' and not_after < ?) as "any!: i64""#,
        at
    );
    Ok(one.fetch_one(db).await? != 0)
}

/// After the clock was set back: nothing that was put off waits longer than the
/// longest wait.
///
/// # Errors
/// The store's.
pub async fn pull_in(tx: &mut Tx, longest: Duration, now: OffsetDateTime) -> Result<()> {
    let (at, latest) = (now.unix_timestamp(), (now + longest).unix_timestamp());
    sqlx::query!(
        "update mail set next_try_at = max(due_at, ?)
         where state = 'waiting' and next_try_at > due_at and next_try_at > ?",
        at,
        latest
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// All mail, held or not.
#[derive(Debug, Clone, Default)]
pub struct Hold {
    pub held: bool,
    pub why: String,
    pub since: Option<OffsetDateTime>,
    /// A name; empty if the program did it.
    pub who: String,
}

/// Is all mail held?
///
/// # Errors
/// The store's.
pub async fn hold(db: &SqlitePool) -> Result<Hold> {
    let row = sqlx::query!(
        r#"select h.held as "held!: i64", h.why, h.held_at, p.name as "who?"
           from mail_hold h left join account a on a.id = h.held_by left join person p on p.id = a.person_id"#
    )
    .fetch_one(db)
    .await?;
    Ok(Hold {
        held: row.held != 0,
        why: row.why,
        since: row.held_at.map(instant).transpose()?,
        who: row.who.unwrap_or_default(),
    })
}

/// Holds all mail. False if it is held already.
///
/// # Errors
/// The store's.
pub async fn hold_all(tx: &mut Tx, actor: Actor, why: &str, now: OffsetDateTime) -> Result<bool> {
    let by = if let Actor::Account(id) = actor { Some(id) } else { None };
    let at = now.unix_timestamp();
    let done =
        sqlx::query!("update mail_hold set held = 1, why = ?, held_at = ?, held_by = ? where held = 0", why, at, by)
            .execute(&mut **tx)
            .await?;
    if done.rows_affected() == 0 {
        return Ok(false);
    }
    let after = Some(json!({ "why": why }));
    record(tx, now, Entry { after, ..entry(actor, "held", "all mail", None, None, "Mail") });
    Ok(true)
}

/// Lets mail go again. False if it isn't held.
///
/// # Errors
/// The store's.
pub async fn release(tx: &mut Tx, actor: Actor, why: &str, now: OffsetDateTime) -> Result<bool> {
    let done = sqlx::query!("update mail_hold set held = 0, why = '', held_at = null, held_by = null where held = 1")
        .execute(&mut **tx)
        .await?;
    if done.rows_affected() == 0 {
        return Ok(false);
    }
    let after = (!why.is_empty()).then(|| json!({ "why": why }));
    record(tx, now, Entry { after, ..entry(actor, "released", "all mail", None, None, "Mail") });
    Ok(true)
}

/// Takes one waiting message back. False if it doesn't wait any more.
///
/// # Errors
/// The store's.
pub async fn cancel(tx: &mut Tx, actor: Actor, mail: &Mail, why: &str, now: OffsetDateTime) -> Result<bool> {
    let at = now.unix_timestamp();
    let done = sqlx::query!(
        "update mail set state = 'cancelled', words = ?, settled_at = ? where id = ? and state = 'waiting'",
        why,
        at,
        mail.id
    )
    .execute(&mut **tx)
    .await?;
    if done.rows_affected() == 0 {
        return Ok(false);
    }
    let after = Some(json!({ "why": why }));
    record(tx, now, Entry { after, ..entry(actor, "cancelled", "mail", Some(mail.id), mail.event_id, &mail.subject) });
    Ok(true)
}

/// Lets a message go again that was put off, failed, is uncertain or expired,
/// with a day's time at least. It keeps its Message-ID. False if it was
/// settled otherwise meanwhile.
///
/// # Errors
/// The store's.
pub async fn try_again(tx: &mut Tx, actor: Actor, mail: &Mail, now: OffsetDateTime) -> Result<bool> {
    let (at, until) = (now.unix_timestamp(), (now + Duration::DAY).unix_timestamp());
    let state = mail.state.as_str();
    let done = sqlx::query!(
        "update mail set state = 'waiting', next_try_at = ?, not_after = max(not_after, ?), attempts = 0,
                         unsure = unsure + (state = 'uncertain'), data_at = null, settled_at = null
         where id = ? and state = ? and state in ('waiting', 'failed', 'uncertain', 'expired')",
        at,
        until,
        mail.id,
        state
    )
    .execute(&mut **tx)
    .await?;
    if done.rows_affected() == 0 {
        return Ok(false);
    }
    record(tx, now, entry(actor, "tried again", "mail", Some(mail.id), mail.event_id, &mail.subject));
    Ok(true)
}

/// Notes in the journal that somebody sends a letter by hand.
pub fn note_test(tx: &mut Tx, actor: Actor, id: i64, subject: &str, now: OffsetDateTime) {
    record(tx, now, entry(actor, "sent", "mail", Some(id), None, subject));
}

fn entry<'a>(
    actor: Actor,
    verb: &'static str,
    subject: &'static str,
    subject_id: Option<i64>,
    event_id: Option<i64>,
    title: &'a str,
) -> Entry<'a> {
    Entry { actor, verb, subject, subject_id, event_id, title, before: None, after: None }
}

/// Since when the message has waited that could have gone out longest ago. A
/// night doesn't count, nor does the time between two messages to one person.
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

/// Since when the oldest waiting message that is due has waited.
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

/// What the relay said when it lately refused a message for what it is or who
/// sends it, rather than for its address.
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

/// Whose wish a link of [`Opens::Announcements`] is about: the person's number.
///
/// # Errors
/// The store's.
pub async fn announcement_link(db: &SqlitePool, secret: &Secret) -> Result<Option<i64>> {
    let hash = secret.hash();
    let person = sqlx::query_scalar!(
        r#"select coalesce(p.merged_into, p.id) as "id!: i64"
           from announcement_link l join person p on p.id = l.person_id
           where l.token_hash = ? and p.forgotten_at is null"#,
        hash
    );
    Ok(person.fetch_optional(db).await?)
}

/// Notes that a letter went out, or in what words a relay refused it, at a time
/// that has passed. For a history that is told and not lived, as the demo's is.
///
/// # Errors
/// The store's.
pub async fn note_past(tx: &mut Tx, id: i64, refused: Option<&str>, at: OffsetDateTime) -> Result<()> {
    let (state, words) = refused.map_or(("sent", ""), |words| ("failed", words));
    let code = words.split(' ').next().unwrap_or_default();
    let at = at.unix_timestamp();
    sqlx::query!(
        "update mail set state = ?, code = ?, words = ?, settled_at = ? where id = ?",
        state,
        code,
        words,
        at,
        id
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// Blanks what was written to these rows of one person, and takes back what
/// waits. That something was sent, and when, stays.
///
/// # Errors
/// The store's.
pub async fn forget(tx: &mut Tx, people: &[i64], now: OffsetDateTime) -> Result<()> {
    let (at, people) = (now.unix_timestamp(), serde_json::json!(people).to_string());
    sqlx::query!(
        "update mail set state = 'cancelled', settled_at = ?
         where state = 'waiting' and person_id in (select value from json_each(?))",
        at,
        people
    )
    .execute(&mut **tx)
    .await?;
    // A relay's words may repeat the address.
    sqlx::query!(
        "update mail set to_name = '', to_address = 'forgotten@invalid', text = '', html = '', calendar = null,
                         method = null, words = ''
         where person_id in (select value from json_each(?))",
        people
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}
