//! All SQL of who was thanked.

use super::entry::entry;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::{Error, Result};
use crate::mail::MailState;
use crate::thanks::{Thanked, Way, Whom};
use anyhow::anyhow;
use serde_json::json;
use sqlx::SqliteConnection;
use time::OffsetDateTime;

/// Who was thanked after an event, newest first.
pub(in crate::thanks) async fn thanked(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Thanked>> {
    let rows = sqlx::query!(
        r#"select t.id as "id!", t.person_id, t.is_deputy as "is_deputy: bool", t.reasons, t.way, t.at, t.mail_id, t.taken_back_at,
                  m.state as "state?", p.name as "by?"
           from thanked t left join mail m on m.id = t.mail_id left join account a on a.id = t.by
                left join person p on p.id = a.person_id
           where t.event_id = ? order by t.id desc"#,
        event_id
    );
    let unknown = |what: &str| Error::Internal(anyhow!("thanks by an unknown {what} in the store"));
    let mut all = Vec::new();
    for row in rows.fetch_all(db).await? {
        let state = row.state.map(|state| state.parse::<MailState>().map_err(|_| unknown("state"))).transpose()?;
        all.push(Thanked {
            id: row.id,
            whom: Whom { person_id: row.person_id, is_deputy: row.is_deputy },
            reasons: serde_json::from_str(&row.reasons)?,
            way: row.way.parse().map_err(|_| unknown("way"))?,
            at: OffsetDateTime::from_unix_timestamp(row.at)?,
            by: row.by,
            mail: row.mail_id.zip(state),
            is_taken_back: row.taken_back_at.is_some(),
        });
    }
    Ok(all)
}

/// Saves that someone was thanked.
pub(in crate::thanks) async fn add_thanked(
    tx: &mut Tx,
    by: i64,
    event_id: i64,
    (whom, name): (Whom, &str),
    reasons: &[String],
    (way, mail_id): (Way, Option<i64>),
    now: OffsetDateTime,
) -> Result<()> {
    let (keys, at) = (serde_json::to_string(reasons)?, now.unix_timestamp());
    let by_way = way.as_str();
    sqlx::query!(
        "insert into thanked (event_id, person_id, is_deputy, reasons, way, at, by, mail_id)
         values (?, ?, ?, ?, ?, ?, ?, ?)",
        event_id,
        whom.person_id,
        whom.is_deputy,
        keys,
        by_way,
        at,
        by,
        mail_id
    )
    .execute(&mut **tx)
    .await?;
    let after = Some(json!({"way": by_way}));
    record(tx, now, Entry { after, ..entry(Actor::Account(by), "said", event_id, name) });
    Ok(())
}

/// Undoes thanks marked by mistake. False if there are none, or they were emailed, which
/// can't be undone.
pub(in crate::thanks) async fn take_back(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    (id, name): (i64, &str),
    now: OffsetDateTime,
) -> Result<bool> {
    let at = now.unix_timestamp();
    let done = sqlx::query!(
        "update thanked set taken_back_at = ?
         where id = ? and event_id = ? and way <> 'mail' and taken_back_at is null",
        at,
        id,
        event_id
    )
    .execute(&mut **tx)
    .await?;
    if done.rows_affected() == 0 {
        return Ok(false);
    }
    record(tx, now, entry(actor, "took back", event_id, name));
    Ok(true)
}
