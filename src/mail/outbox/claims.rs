//! A message being sent belongs to one run of the program, which claims it first.

use super::announcement::open_wish;
use super::message::{Mail, find};
use crate::db::Tx;
use crate::error::Result;
use crate::mail::letter::Kind;
use crate::mail::night::Place;
use crate::web::link::LinkKey;
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

/// Is there anything to send now?
pub async fn is_due(db: &SqlitePool, places: &[Place], now: OffsetDateTime) -> Result<bool> {
    let mut connection = db.acquire().await?;
    Ok(next(&mut connection, places, now.unix_timestamp()).await?.is_some())
}

/// Claims the next message for this run of the program. None if nothing may go out
/// now.
pub async fn claim(
    tx: &mut Tx,
    run: &str,
    places: &[Place],
    key: &LinkKey,
    now: OffsetDateTime,
) -> Result<Option<Mail>> {
    let at = now.unix_timestamp();
    let Some(id) = next(tx, places, at).await? else { return Ok(None) };
    sqlx::query!("update mail set state = 'sending', sender = ?, data_at = null where id = ?", run, id)
        .execute(&mut **tx)
        .await?;
    let mail = find(tx, id).await?;
    if let Some(Mail { kind: Kind::Announcement, person_id: Some(person), .. }) = &mail {
        open_wish(tx, key, *person, now).await?;
    }
    Ok(mail)
}

async fn next(db: &mut SqliteConnection, places: &[Place], at: i64) -> Result<Option<i64>> {
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
    let places = serde_json::to_string(places)?;
    let lately = at - APART.whole_seconds();
    let calm = sqlx::query_scalar!(
        r#"select m.id as "id!" from mail m
           where m.state = 'waiting' and m.urgent = 0 and m.next_try_at <= ?1 and m.not_after >= ?1
             and not exists (select 1 from mail_hold where held = 1)
             and exists (select 1 from json_each(?2) p
                         where p.value ->> 'event_id' is m.event_id
                           and coalesce(p.value ->> 'night_until', m.not_after) >= m.not_after)
             and (m.person_id is null or not exists (
                  select 1 from mail o where o.person_id = m.person_id and o.urgent = 0 and o.id <> m.id
                    and (o.state = 'sending'
                         or (o.state in ('sent', 'uncertain') and o.settled_at > ?3 and o.settled_at <= ?1))))
           order by m.next_try_at, m.id limit 1"#,
        at,
        places,
        lately
    )
    .fetch_optional(&mut *db)
    .await?;
    Ok(calm)
}
