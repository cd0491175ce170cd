//! The drawing, and every change of it that can be undone.

use super::photos::drop_unused_photos;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::site::plan::Plan;
use crate::site::refused::Refused;
use sqlx::SqliteConnection;
use time::OffsetDateTime;

/// This many changes can be undone.
const MOST_VERSIONS: i64 = 100;

/// The drawing that is shown.
#[derive(Debug, Clone, PartialEq)]
pub struct Current {
    pub plan: Plan,
    pub revision: i64,
    /// What undo would take back, and what redo would do again.
    pub undo: Option<String>,
    pub redo: Option<String>,
    pub saved_at: Option<OffsetDateTime>,
}

pub(super) fn read(text: &str) -> Result<Plan> {
    Ok(serde_json::from_str(text)?)
}

/// The drawing of an event; an empty one before the first change.
pub async fn current(db: &mut SqliteConnection, event_id: i64) -> Result<Current> {
    let row = sqlx::query!(
        r#"select s.at, s.revision, v.plan as "plan?", v.did as "did?", v.saved_at as "saved_at?", n.did as "next?"
           from site s left join site_version v on v.event_id = s.event_id and v.number = s.at
                left join site_version n on n.event_id = s.event_id and n.number = s.at + 1
           where s.event_id = ?"#,
        event_id
    );
    let Some(row) = row.fetch_optional(&mut *db).await? else {
        let plan = Plan::default();
        return Ok(Current { plan, revision: 0, undo: None, redo: None, saved_at: None });
    };
    let oldest =
        sqlx::query_scalar!(r#"select min(number) as "number: i64" from site_version where event_id = ?"#, event_id);
    let oldest = oldest.fetch_one(db).await?.unwrap_or(0);
    // Before the first change the drawing is empty; after many, the oldest ones are gone.
    let can_undo = row.at > oldest || (row.at == 1 && oldest == 1);
    Ok(Current {
        plan: row.plan.as_deref().map(read).transpose()?.unwrap_or_default(),
        revision: row.revision,
        undo: row.did.filter(|_| can_undo),
        redo: row.next,
        saved_at: row.saved_at.map(OffsetDateTime::from_unix_timestamp).transpose()?,
    })
}

pub(super) fn entry<'a>(actor: Actor, verb: &'static str, event_id: i64, title: &'a str) -> Entry<'a> {
    let event_id = Some(event_id);
    Entry { actor, verb, subject: "site", subject_id: None, event_id, title, before: None, after: None }
}

/// Changes the drawing as it is now. `change` gets it with the number of this change, and
/// says what was done, as in "Press area moved".
pub async fn change(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    now: OffsetDateTime,
    change: impl FnOnce(&mut Plan, i64) -> std::result::Result<String, Refused>,
) -> Result<std::result::Result<String, Refused>> {
    let row = sqlx::query!(r#"select at, revision, last as "last: u32" from site where event_id = ?"#, event_id);
    let row = row.fetch_optional(&mut **tx).await?;
    let (at, revision, last) = row.map_or((0, 0, 0), |row| (row.at, row.revision, row.last));
    let mut plan = current(tx, event_id).await?.plan;
    plan.last = plan.last.max(last);
    let did = match change(&mut plan, revision + 1) {
        Ok(did) => did,
        Err(refused) => return Ok(Err(refused)),
    };
    put(tx, event_id, at + 1, &plan, &did, now).await?;
    drop_unused_photos(tx, actor, event_id, now).await?;
    record(tx, now, entry(actor, "changed", event_id, &did));
    Ok(Ok(did))
}

async fn put(tx: &mut Tx, event_id: i64, number: i64, plan: &Plan, did: &str, now: OffsetDateTime) -> Result<()> {
    let (text, at, oldest) = (serde_json::to_string(plan)?, now.unix_timestamp(), number - MOST_VERSIONS);
    sqlx::query!(
        "insert into site (event_id, at, last) values (?, ?, ?)
         on conflict (event_id) do update
         set at = excluded.at, revision = revision + 1, last = max(last, excluded.last)",
        event_id,
        number,
        plan.last
    )
    .execute(&mut **tx)
    .await?;
    // What was undone can't be done again after something else.
    sqlx::query!(
        "delete from site_version where event_id = ? and (number >= ? or number <= ?)",
        event_id,
        number,
        oldest
    )
    .execute(&mut **tx)
    .await?;
    sqlx::query!(
        "insert into site_version (event_id, number, plan, did, saved_at) values (?, ?, ?, ?, ?)",
        event_id,
        number,
        text,
        did,
        at
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// Goes one change back, or forward again. Returns what was undone or done again; none if
/// there is nothing, or someone else changed the drawing since this revision.
pub async fn step(
    tx: &mut Tx,
    actor: Actor,
    (event_id, revision): (i64, i64),
    is_back: bool,
    now: OffsetDateTime,
) -> Result<Option<String>> {
    let current = current(tx, event_id).await?;
    let (did, by, verb) =
        if is_back { (current.undo, -1, "undid a change of") } else { (current.redo, 1, "redid a change of") };
    let Some(did) = did.filter(|_| current.revision == revision) else { return Ok(None) };
    sqlx::query!("update site set at = at + ?, revision = revision + 1 where event_id = ?", by, event_id)
        .execute(&mut **tx)
        .await?;
    record(tx, now, entry(actor, verb, event_id, &did));
    Ok(Some(did))
}
