//! All SQL of photos.

use super::Taken;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use serde_json::json;
use sqlx::SqlitePool;
use time::OffsetDateTime;

/// Saves an accepted photo and returns its number.
pub async fn keep(tx: &mut Tx, taken: &Taken, actor: Actor, now: OffsetDateTime) -> Result<i64> {
    let at = now.unix_timestamp();
    let by = if let Actor::Account(id) = actor { Some(id) } else { None };
    let (width, height) = (i64::from(taken.width), i64::from(taken.height));
    let bytes = i64::try_from(taken.bytes).unwrap_or(i64::MAX);
    let id = sqlx::query_scalar!(
        "insert into photo (digest, width, height, bytes, added_at, added_by) values (?, ?, ?, ?, ?, ?) returning id",
        taken.digest,
        width,
        height,
        bytes,
        at,
        by
    )
    .fetch_one(&mut **tx)
    .await?;
    let after = Some(json!({ "digest": taken.digest }));
    record(tx, now, entry(actor, "added", id, after));
    Ok(id)
}

/// Removes a photo. Its file is swept away later.
pub async fn drop(tx: &mut Tx, id: i64, actor: Actor, now: OffsetDateTime) -> Result<()> {
    let gone = sqlx::query!("delete from photo where id = ?", id).execute(&mut **tx).await?.rows_affected();
    if gone > 0 {
        record(tx, now, entry(actor, "removed", id, None));
    }
    Ok(())
}

fn entry(actor: Actor, verb: &'static str, id: i64, after: Option<serde_json::Value>) -> Entry<'static> {
    Entry { actor, verb, subject: "photo", subject_id: Some(id), event_id: None, title: "a photo", before: None, after }
}

/// The digest that names a photo's files.
pub(super) async fn digest(db: &SqlitePool, id: i64) -> Result<Option<String>> {
    Ok(sqlx::query_scalar!("select digest from photo where id = ?", id).fetch_optional(db).await?)
}

pub(super) async fn digests(db: &SqlitePool) -> Result<Vec<String>> {
    Ok(sqlx::query_scalar!("select distinct digest from photo").fetch_all(db).await?)
}
