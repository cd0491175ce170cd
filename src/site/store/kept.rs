//! The drawings that are kept under a name.

use super::versions::{current, entry, read};
use crate::db::Tx;
use crate::db::journal::{Actor, record};
use crate::error::Result;
use crate::site::plan::Plan;
use sqlx::SqliteConnection;
use time::OffsetDateTime;

/// A drawing kept under a name.
#[derive(Debug, Clone, PartialEq)]
pub struct Kept {
    pub id: i64,
    pub name: String,
    pub plan: Plan,
    pub at: OffsetDateTime,
    pub by: Option<String>,
}

/// The drawings that were kept, the latest first.
pub async fn kept(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Kept>> {
    let rows = sqlx::query!(
        r#"select k.id, k.name, k.plan, k.kept_at, p.name as "by?"
           from site_kept k left join account a on a.id = k.kept_by left join person p on p.id = a.person_id
           where k.event_id = ? order by k.kept_at desc, k.id desc"#,
        event_id
    );
    let rows = rows.fetch_all(db).await?.into_iter().map(|row| {
        let at = OffsetDateTime::from_unix_timestamp(row.kept_at)?;
        Ok(Kept { id: row.id, name: row.name, plan: read(&row.plan)?, at, by: row.by })
    });
    rows.collect()
}

/// Keeps the drawing under a name. False if there is one with that name.
pub async fn keep(tx: &mut Tx, account: i64, event_id: i64, name: &str, now: OffsetDateTime) -> Result<bool> {
    let plan = serde_json::to_string(&current(tx, event_id).await?.plan)?;
    let at = now.unix_timestamp();
    let added = sqlx::query!(
        "insert into site_kept (event_id, name, plan, kept_at, kept_by) values (?, ?, ?, ?, ?)
         on conflict (event_id, name) do nothing",
        event_id,
        name,
        plan,
        at,
        account
    );
    if added.execute(&mut **tx).await?.rows_affected() == 0 {
        return Ok(false);
    }
    record(tx, now, entry(Actor::Account(account), "kept a version of", event_id, name));
    Ok(true)
}
