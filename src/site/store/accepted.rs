//! The findings that the safety officer accepted.

use super::versions::entry;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use serde_json::json;
use sqlx::SqliteConnection;
use time::OffsetDateTime;

/// A finding that the safety officer accepts.
#[derive(Debug, Clone, PartialEq)]
pub struct Accepted {
    pub finding: String,
    pub badness: f64,
    pub reason: String,
    pub by: String,
    pub at: OffsetDateTime,
}

/// What the safety officer accepted.
pub async fn accepted(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Accepted>> {
    let rows = sqlx::query!(
        "select s.finding, s.badness, s.reason, p.name, s.accepted_at
         from site_accepted s join account a on a.id = s.accepted_by join person p on p.id = a.person_id
         where s.event_id = ?",
        event_id
    );
    let rows = rows.fetch_all(db).await?.into_iter().map(|row| {
        let at = OffsetDateTime::from_unix_timestamp(row.accepted_at)?;
        Ok(Accepted { finding: row.finding, badness: row.badness, reason: row.reason, by: row.name, at })
    });
    rows.collect()
}

/// A finding that is accepted, or no longer.
#[derive(Debug, Clone)]
pub struct Settled {
    pub finding: String,
    /// Its title.
    pub called: String,
    pub badness: f64,
}

/// Accepts a finding as it is.
pub async fn accept(
    tx: &mut Tx,
    account: i64,
    event_id: i64,
    found: &Settled,
    reason: &str,
    now: OffsetDateTime,
) -> Result<()> {
    let at = now.unix_timestamp();
    sqlx::query!(
        "insert into site_accepted (event_id, finding, badness, reason, accepted_by, accepted_at)
         values (?, ?, ?, ?, ?, ?)
         on conflict (event_id, finding) do update
         set badness = excluded.badness, reason = excluded.reason, accepted_by = excluded.accepted_by,
             accepted_at = excluded.accepted_at",
        event_id,
        found.finding,
        found.badness,
        reason,
        account,
        at
    )
    .execute(&mut **tx)
    .await?;
    let after = Some(json!({ "reason": reason }));
    record(tx, now, Entry { after, ..entry(Actor::Account(account), "accepted for", event_id, &found.called) });
    Ok(())
}

/// Takes that back. False if it wasn't accepted.
pub async fn settle_again(
    tx: &mut Tx,
    account: i64,
    event_id: i64,
    found: &Settled,
    now: OffsetDateTime,
) -> Result<bool> {
    let gone = sqlx::query!("delete from site_accepted where event_id = ? and finding = ?", event_id, found.finding);
    if gone.execute(&mut **tx).await?.rows_affected() == 0 {
        return Ok(false);
    }
    record(tx, now, entry(Actor::Account(account), "no longer accepted for", event_id, &found.called));
    Ok(true)
}
