//! One-time links.

use super::entry::entry;
use super::reading::find;
use crate::accounts::{Account, Purpose};
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::web::link::Secret;
use serde_json::json;
use sqlx::SqlitePool;
use time::OffsetDateTime;

/// A new link for an account. Older links for the same purpose stop working.
pub async fn make_link(
    tx: &mut Tx,
    actor: Actor,
    account: &Account,
    purpose: Purpose,
    now: OffsetDateTime,
) -> Result<Secret> {
    let secret = add_link(tx, purpose, Some(account.id), now).await?;
    let after = Some(json!({"for": purpose.as_str()}));
    record(tx, now, Entry { after, ..entry(actor, "made a link for", account) });
    Ok(secret)
}

/// A link where the first education officer sets up Burnday. Older ones stop working. None
/// once it is set up.
pub async fn set_up_link(tx: &mut Tx, now: OffsetDateTime) -> Result<Option<Secret>> {
    let done = sqlx::query_scalar!(r#"select count(*) as "n!" from department"#).fetch_one(&mut **tx).await?;
    if done > 0 {
        return Ok(None);
    }
    Ok(Some(add_link(tx, Purpose::SetUp, None, now).await?))
}

pub(super) async fn add_link(
    tx: &mut Tx,
    purpose: Purpose,
    account: Option<i64>,
    now: OffsetDateTime,
) -> Result<Secret> {
    let secret = Secret::new();
    let hash = secret.hash();
    let (at, until) = (now.unix_timestamp(), (now + purpose.lasts()).unix_timestamp());
    let purpose = purpose.as_str();
    sqlx::query!("delete from link where (purpose = ? and account_id is ?) or expires_at < ?", purpose, account, at)
        .execute(&mut **tx)
        .await?;
    sqlx::query!(
        "insert into link (token_hash, purpose, account_id, created_at, expires_at) values (?, ?, ?, ?, ?)",
        hash,
        purpose,
        account,
        at,
        until
    )
    .execute(&mut **tx)
    .await?;
    Ok(secret)
}

/// The account a link is for, if the link opens that now.
pub(in crate::accounts) async fn link(
    db: &SqlitePool,
    secret: &Secret,
    purpose: Purpose,
    now: OffsetDateTime,
) -> Result<Option<Option<Account>>> {
    let (hash, purpose, at) = (secret.hash(), purpose.as_str(), now.unix_timestamp());
    let found = sqlx::query!(
        "select account_id from link where token_hash = ? and purpose = ? and expires_at > ?",
        hash,
        purpose,
        at
    )
    .fetch_optional(db)
    .await?;
    let Some(row) = found else { return Ok(None) };
    let Some(id) = row.account_id else { return Ok(Some(None)) };
    Ok(find(db, id).await?.filter(|account| !account.disabled).map(Some))
}

/// Uses up a link. False if someone was faster.
pub(in crate::accounts) async fn use_up(tx: &mut Tx, secret: &Secret) -> Result<bool> {
    let hash = secret.hash();
    Ok(sqlx::query!("delete from link where token_hash = ?", hash).execute(&mut **tx).await?.rows_affected() == 1)
}
