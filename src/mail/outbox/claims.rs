//! A message being sent: claimed, checked once more, settled.

use super::{Mail, MailState, find, known};
use crate::db::Tx;
use crate::error::Result;
use crate::mail::letter::Kind;
use crate::web::link::{LinkKey, Opens};
use crate::zone::Zone;
use serde::Serialize;
use sqlx::{SqliteConnection, SqlitePool};
use time::{Duration, OffsetDateTime};

/// A person gets at most one message that isn't urgent in this time.
pub(super) const APART: Duration = Duration::minutes(10);
/// A message that was being sent when the program stopped is sent again at most this
/// many times.
const MOST_STOPS: i64 = 4;
/// Sorts out what an earlier run of the program left half done. If the text hadn't begun
/// to go out, the message waits again. If it had, no one knows whether the relay has it:
/// what must arrive is sent once more with its old Message-ID, and the rest is left.
///
/// # Errors
/// The store's.
pub async fn free(tx: &mut Tx, run: &str, now: OffsetDateTime) -> Result<u64> {
    let at = now.unix_timestamp();
    let again = "Burnday stopped while sending this, and the email server may already have it. It will be sent once \
                 more; most email programs show the two as one.";
    let left = "Burnday stopped while sending this. The email server may already have it.";
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

/// A zone where it is night, and when the night ends.
#[derive(Debug, Clone, Serialize)]
pub struct Night {
    pub zone: String,
    pub until: i64,
}

/// The time zones that email goes by: the event's, or else the department's.
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

/// Claims the next message for this run of the program. None if nothing may go out
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

/// Makes the unsubscribe link in someone's announcements work.
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

/// The result of the check right before a message's text is sent.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PreSendCheck {
    Go,
    /// It was settled: it is no longer true, wanted or in time.
    Settled,
    /// It waits again: all email is on hold.
    Held,
    /// It no longer belongs to this run.
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
    /// Why it must not go out, if it mustn't.
    fn against(&self, at: i64) -> Result<Option<(MailState, &'static str)>> {
        let kind: Kind = known(&self.kind)?;
        let asks = matches!(kind, Kind::Ask | Kind::Reminder);
        let why = if self.revision.is_some() && self.revision != self.revision_now {
            "The date or another detail of the event changed before this could go out."
        } else if self.person_id.is_some() && self.forgotten != 0 {
            "This person's data was erased before this could go out."
        } else if kind == Kind::Announcement && self.no_mail != 0 {
            "This person asked for no more announcements."
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

const LATE: &str = "It didn't go out in time. Any later, it would have been wrong or of no use.";

/// The check right before a message's text is sent. It is a write like any other, so
/// whatever was committed before it counts.
///
/// # Errors
/// The store's.
pub async fn check_before_sending(tx: &mut Tx, id: i64, run: &str, now: OffsetDateTime) -> Result<PreSendCheck> {
    let at = now.unix_timestamp();
    let facts = sqlx::query_as!(
        Facts,
        r#"select m.kind as "kind!", m.facts_revision as revision, e.facts_revision as "revision_now?", m.person_id,
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
    let Some(facts) = facts else { return Ok(PreSendCheck::Lost) };
    if let Some((state, why)) = facts.against(at)? {
        settle(tx, id, run, &Settled { state, code: "", words: why }, now).await?;
        return Ok(PreSendCheck::Settled);
    }
    if facts.held != 0 {
        wait(tx, id, run, None, now).await?;
        return Ok(PreSendCheck::Held);
    }
    sqlx::query!("update mail set data_at = ? where id = ?", at, id).execute(&mut **tx).await?;
    Ok(PreSendCheck::Go)
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
    /// The relay may have accepted it.
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
    // If the next try would come too late, it expires now.
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

/// Settles messages that were not sent in time.
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

/// After the clock was set back: no message that was put off waits longer than the
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
