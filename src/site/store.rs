//! All SQL of the site.

use super::plan::{Photo, Plan};
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::photos::{self, Taken};
use serde_json::json;
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

/// A drawing kept under a name.
#[derive(Debug, Clone, PartialEq)]
pub struct Kept {
    pub id: i64,
    pub name: String,
    pub plan: Plan,
    pub at: OffsetDateTime,
    pub by: Option<String>,
}

/// A finding that the safety officer accepts.
#[derive(Debug, Clone, PartialEq)]
pub struct Accepted {
    pub finding: String,
    pub badness: f64,
    pub reason: String,
    pub by: String,
    pub at: OffsetDateTime,
}

fn read(text: &str) -> Result<Plan> {
    Ok(serde_json::from_str(text)?)
}

/// The drawing of an event; an empty one before the first change.
///
/// # Errors
/// The store's.
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

fn entry<'a>(actor: Actor, verb: &'static str, event_id: i64, title: &'a str) -> Entry<'a> {
    let event_id = Some(event_id);
    Entry { actor, verb, subject: "site", subject_id: None, event_id, title, before: None, after: None }
}

/// Why a change wasn't made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Refused {
    /// It is no longer on the drawing.
    Gone,
    /// Someone else changed it since it was shown.
    Changed,
    /// For whoever typed it.
    Wrong(String),
}

/// Changes the drawing as it is now. `change` gets it with the number of this change, and
/// says what was done, as in "Press area moved".
///
/// # Errors
/// The store's.
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
///
/// # Errors
/// The store's.
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

/// Saves a photo from above, for a drawing to show.
///
/// # Errors
/// The store's.
pub async fn add_photo(tx: &mut Tx, actor: Actor, event_id: i64, taken: &Taken, now: OffsetDateTime) -> Result<Photo> {
    let id = photos::keep(tx, taken, actor, now).await?;
    sqlx::query!("insert into site_photo (event_id, photo_id) values (?, ?)", event_id, id).execute(&mut **tx).await?;
    Ok(Photo { id, width: taken.width, height: taken.height, meters_per_pixel: None })
}

/// Removes the photos that no drawing shows anymore, not even after an undo.
async fn drop_unused_photos(tx: &mut Tx, actor: Actor, event_id: i64, now: OffsetDateTime) -> Result<()> {
    let unused = sqlx::query_scalar!(
        "select photo_id from site_photo p where event_id = ?
         and not exists (select 1 from site_version v
                         where v.event_id = p.event_id and v.plan ->> '$.photo.id' = p.photo_id)
         and not exists (select 1 from site_kept k
                         where k.event_id = p.event_id and k.plan ->> '$.photo.id' = p.photo_id)",
        event_id
    );
    for id in unused.fetch_all(&mut **tx).await? {
        sqlx::query!("delete from site_photo where event_id = ? and photo_id = ?", event_id, id)
            .execute(&mut **tx)
            .await?;
        photos::drop(tx, id, actor, now).await?;
    }
    Ok(())
}

/// The drawings that were kept, the latest first.
///
/// # Errors
/// The store's.
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
///
/// # Errors
/// The store's.
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

/// What the safety officer accepted.
///
/// # Errors
/// The store's.
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

/// What is accepted: the finding's key, what it is called, and how bad it is.
pub type Finding<'a> = (&'a str, &'a str, f64);

/// Accepts a finding as it is.
///
/// # Errors
/// The store's.
pub async fn accept(
    tx: &mut Tx,
    account: i64,
    event_id: i64,
    (finding, called, badness): Finding<'_>,
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
        finding,
        badness,
        reason,
        account,
        at
    )
    .execute(&mut **tx)
    .await?;
    let after = Some(json!({ "reason": reason }));
    record(tx, now, Entry { after, ..entry(Actor::Account(account), "accepted for", event_id, called) });
    Ok(())
}

/// Takes that back. False if it wasn't accepted.
///
/// # Errors
/// The store's.
pub async fn settle_again(
    tx: &mut Tx,
    account: i64,
    event_id: i64,
    (finding, called): (&str, &str),
    now: OffsetDateTime,
) -> Result<bool> {
    let gone = sqlx::query!("delete from site_accepted where event_id = ? and finding = ?", event_id, finding);
    if gone.execute(&mut **tx).await?.rows_affected() == 0 {
        return Ok(false);
    }
    record(tx, now, entry(Actor::Account(account), "no longer accepted for", event_id, called));
    Ok(true)
}
