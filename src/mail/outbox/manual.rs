//! What the education officer does by hand.

use super::{Mail, instant};
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use serde_json::json;
use sqlx::SqlitePool;
use time::{Duration, OffsetDateTime};

/// Whether all email is on hold.
#[derive(Debug, Clone, Default)]
pub struct Hold {
    pub held: bool,
    pub why: String,
    pub since: Option<OffsetDateTime>,
    /// The account of whoever put it on hold; none if the program did.
    pub by: Option<i64>,
}

impl Hold {
    /// Is it on hold because the store is a copy?
    #[must_use]
    pub fn is_of_copy(&self) -> bool {
        self.held && is_copy_held(&self.why)
    }
}

/// Is all email on hold?
pub async fn hold(db: &SqlitePool) -> Result<Hold> {
    let row =
        sqlx::query!(r#"select held as "held!: i64", why, held_at, held_by from mail_hold"#).fetch_one(db).await?;
    Ok(Hold { held: row.held != 0, why: row.why, since: row.held_at.map(instant).transpose()?, by: row.held_by })
}

/// Puts all email on hold. False if it already is.
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
    record(tx, now, Entry { after, ..entry(actor, "held", "all mail", None, None, "Email") });
    Ok(true)
}

/// Why email is on hold in a store that was restored. It is known by its first words.
const COPY_HELD: &str = "This data is a copy, or its folder was moved. Some of the waiting email may have gone out \
                         already or may no longer be true. Look through it, cancel what is out of date, then release \
                         the rest.";

/// Is this why email is on hold in a store that was restored, in these words or those of
/// before? The trigger `hold_doubts` looks for the same ones.
fn is_copy_held(why: &str) -> bool {
    ["This data is a copy", "This store is a copy"].iter().any(|begin| why.starts_with(begin))
}

/// Is email on hold, and why?
async fn held(tx: &mut Tx) -> Result<(bool, String)> {
    let row = sqlx::query!(r#"select held as "held!: bool", why from mail_hold"#).fetch_one(&mut **tx).await?;
    Ok((row.held, row.why))
}

/// Puts all email on hold in a store that is a copy: since the copy was made, what is
/// waiting in it may have been sent or canceled. If it was on hold for another reason,
/// that reason follows the new one.
pub async fn hold_copy(tx: &mut Tx, now: OffsetDateTime) -> Result<()> {
    let (at, (was_held, was)) = (now.unix_timestamp(), held(tx).await?);
    let is_known = was_held && is_copy_held(&was);
    let why = match (was_held, is_known) {
        (_, true) => was,
        (true, false) => format!("{COPY_HELD} It was already on hold: {was}"),
        (false, false) => COPY_HELD.to_owned(),
    };
    // The time is set again each time, since a copy of a copy may be older.
    sqlx::query!("update mail_hold set why = ?, held = 1, held_at = ?, held_by = null", why, at)
        .execute(&mut **tx)
        .await?;
    if !is_known {
        let after = Some(json!({ "why": COPY_HELD }));
        record(tx, now, Entry { after, ..entry(Actor::System, "held", "all mail", None, None, "Email") });
    }
    Ok(())
}

/// Why email is on hold after the command. The trigger `hold_doubts` knows it by these words,
/// also in a store that an older program wrote last.
const COMMAND_HELD: &str = "It was held from the command line.";

/// Puts all email on hold from the command line. If it already is, it is put on hold
/// again, since the store may have been restored to a time when it was; false then.
pub async fn hold_by_command(tx: &mut Tx, now: OffsetDateTime) -> Result<bool> {
    let (at, (was_held, was)) = (now.unix_timestamp(), held(tx).await?);
    let why = if is_copy_held(&was) { was } else { COMMAND_HELD.to_owned() };
    sqlx::query!("update mail_hold set why = ?, held = 1, held_at = ?, held_by = null", why, at)
        .execute(&mut **tx)
        .await?;
    let after = Some(json!({ "why": COMMAND_HELD }));
    record(tx, now, Entry { after, ..entry(Actor::System, "held", "all mail", None, None, "Email") });
    Ok(!was_held)
}

/// Releases email. False if it isn't on hold.
pub async fn release(tx: &mut Tx, actor: Actor, why: &str, now: OffsetDateTime) -> Result<bool> {
    let done = sqlx::query!("update mail_hold set held = 0, why = '', held_at = null, held_by = null where held = 1")
        .execute(&mut **tx)
        .await?;
    if done.rows_affected() == 0 {
        return Ok(false);
    }
    let after = (!why.is_empty()).then(|| json!({ "why": why }));
    record(tx, now, Entry { after, ..entry(actor, "released", "all mail", None, None, "Email") });
    Ok(true)
}

/// Cancels one waiting message. False if it is no longer waiting.
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

/// Sends a message again that was put off, failed, is uncertain or expired, and gives it
/// at least a day. It keeps its Message-ID. False if something else became of it in the
/// meantime.
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

/// Records in the journal that someone sent a letter by hand.
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
