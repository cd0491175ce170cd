//! The unsubscribe link in announcements.

use crate::db::Tx;
use crate::error::Result;
use crate::web::link::{LinkKey, Opens, Secret};
use sqlx::SqlitePool;
use time::OffsetDateTime;

/// Makes the unsubscribe link in someone's announcements work.
pub async fn open_wish(tx: &mut Tx, key: &LinkKey, person: i64, now: OffsetDateTime) -> Result<()> {
    let (hash, at) = (key.secret(Opens::Announcements, person, 1).hash(), now.unix_timestamp());
    sqlx::query!(
        "insert into announcement_link (token_hash, person_id, created_at) values (?, ?, ?) on conflict do nothing",
        hash,
        person,
        at
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// Whom an unsubscribe link was sent to: the person's number then.
pub async fn announcement_link(db: &SqlitePool, secret: &Secret) -> Result<Option<i64>> {
    let hash = secret.hash();
    let person =
        sqlx::query_scalar!(r#"select person_id as "person_id!" from announcement_link where token_hash = ?"#, hash);
    Ok(person.fetch_optional(db).await?)
}
