//! What is due, and since when.

use super::claims::APART;
use super::instant;
use crate::error::Result;
use crate::mail::night::Place;
use sqlx::SqlitePool;
use time::{Duration, OffsetDateTime};

/// How long the message has waited that could have gone out longest ago. Nights don't
/// count, nor does the time between two messages to one person.
pub async fn stuck_since(db: &SqlitePool, places: &[Place], now: OffsetDateTime) -> Result<Option<OffsetDateTime>> {
    let at = now.unix_timestamp();
    let lately = at - APART.whole_seconds();
    let places = serde_json::to_string(places)?;
    let since = sqlx::query_scalar!(
        r#"select min(max(m.next_try_at, coalesce(iif(m.urgent = 1, null,
                      (select p.value ->> 'day_since' from json_each(?2) p where p.value ->> 'event_id' is m.event_id)),
                   m.next_try_at))) as "since?: i64"
           from mail m
           where m.state = 'waiting' and m.next_try_at <= ?1 and m.not_after >= ?1
             and not exists (select 1 from mail_hold where held = 1)
             and (m.urgent = 1 or not exists (
                  select 1 from json_each(?2) p
                  where p.value ->> 'event_id' is m.event_id and p.value ->> 'night_until' is not null))
             and (m.urgent = 1 or m.person_id is null or not exists (
                  select 1 from mail o where o.person_id = m.person_id and o.urgent = 0 and o.id <> m.id
                    and (o.state = 'sending'
                         or (o.state in ('sent', 'uncertain') and o.settled_at > ?3 and o.settled_at <= ?1))))"#,
        at,
        places,
        lately
    )
    .fetch_one(db)
    .await?;
    since.map(instant).transpose()
}

/// When the oldest waiting message that is due was due.
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
pub async fn refused_by_policy(db: &SqlitePool, now: OffsetDateTime) -> Result<Option<String>> {
    let since = (now - Duration::DAY).unix_timestamp();
    let words = sqlx::query_scalar!(
        r#"select words as "words!" from mail where state = 'failed' and settled_at > ? and code like '5.7.%'
           order by settled_at desc, id desc limit 1"#,
        since
    );
    Ok(words.fetch_optional(db).await?)
}
