//! What the education officer does by hand.

use super::{Mail, instant};
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use serde_json::json;
use sqlx::SqlitePool;
use time::{Duration, OffsetDateTime};

/// All mail, held or not.
#[derive(Debug, Clone, Default)]
pub struct Hold {
    pub held: bool,
    pub why: String,
    pub since: Option<OffsetDateTime>,
    /// A name; empty if the program did it.
    pub who: String,
}

impl Hold {
    /// Is it held because the store is a copy?
    #[must_use]
    pub fn is_of_copy(&self) -> bool {
        self.held && self.why.starts_with(COPY_HELD)
    }
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

/// Why mail is held in a store that was restored.
const COPY_HELD: &str = "This store is a copy that was put here, or its folder was moved. Some of this may have gone out \
                         already, or may not be true any more: look at what waits, cancel what is stale, then release \
                         the rest.";

/// Holds all mail of a store that is a copy: what waits in it may have been
/// said, or taken back, since it was made. If it is held for another reason,
/// that one is kept behind the new one.
///
/// # Errors
/// The store's.
pub async fn hold_copy(tx: &mut Tx, now: OffsetDateTime) -> Result<()> {
    let (at, behind) = (now.unix_timestamp(), format!("{COPY_HELD} It was held before: "));
    let is_known =
        sqlx::query_scalar!(r#"select held = 1 and instr(why, ?) = 1 as "known!: bool" from mail_hold"#, COPY_HELD);
    let is_known = is_known.fetch_one(&mut **tx).await?;
    // The moment is noted anew each time: a copy of a copy may lag behind it.
    sqlx::query!(
        "update mail_hold set why = case when ? then why when held then ? || why else ? end, held = 1, held_at = ?,
                              held_by = null",
        is_known,
        behind,
        COPY_HELD,
        at
    )
    .execute(&mut **tx)
    .await?;
    if !is_known {
        let after = Some(json!({ "why": COPY_HELD }));
        record(tx, now, Entry { after, ..entry(Actor::System, "held", "all mail", None, None, "Mail") });
    }
    Ok(())
}

/// Why mail is held by the command.
const COMMAND_HELD: &str = "It was held from the command line.";

/// Holds all mail from the command line. Held already it is held anew: the store
/// may have been put back to a moment at which it was held. False then.
///
/// # Errors
/// The store's.
pub async fn hold_by_command(tx: &mut Tx, now: OffsetDateTime) -> Result<bool> {
    let at = now.unix_timestamp();
    let was_held = sqlx::query_scalar!(r#"select held as "held!: bool" from mail_hold"#).fetch_one(&mut **tx).await?;
    sqlx::query!(
        "update mail_hold set why = iif(instr(why, ?) = 1, why, ?), held = 1, held_at = ?, held_by = null",
        COPY_HELD,
        COMMAND_HELD,
        at
    )
    .execute(&mut **tx)
    .await?;
    let after = Some(json!({ "why": COMMAND_HELD }));
    record(tx, now, Entry { after, ..entry(Actor::System, "held", "all mail", None, None, "Mail") });
    Ok(!was_held)
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
