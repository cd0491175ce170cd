//! Passwords and the sign-ins that end with them.

use super::entry::entry;
use crate::accounts::Account;
use crate::db::Tx;
use crate::db::journal::{Actor, record};
use crate::error::Result;
use sqlx::SqlitePool;
use time::OffsetDateTime;

/// Who signs in with this email, and the hash to compare with.
pub(in crate::accounts) async fn credentials(db: &SqlitePool, mail: &str) -> Result<Option<(i64, String)>> {
    let row = sqlx::query!(
        r#"select id as "id!", password_hash as "hash!" from account
           where mail = ? and password_hash is not null and disabled_at is null"#,
        mail
    )
    .fetch_optional(db)
    .await?;
    Ok(row.map(|row| (row.id, row.hash)))
}

/// Do people sign in with passwords here? Not in a demo: there they use links.
pub async fn is_entered_by_password(db: &SqlitePool) -> Result<bool> {
    let is_demo = sqlx::query_scalar!(r#"select exists (select 1 from link where purpose = 'demo') as "demo!: bool""#);
    Ok(!is_demo.fetch_one(db).await?)
}

/// The hash of an account's password, if it has one.
pub(in crate::accounts) async fn password_hash(db: &SqlitePool, account_id: i64) -> Result<Option<String>> {
    let hash = sqlx::query_scalar!("select password_hash from account where id = ?", account_id);
    Ok(hash.fetch_optional(db).await?.flatten())
}

/// Ends every sign-in of an account.
pub async fn end_sign_ins(tx: &mut Tx, actor: Actor, account: &Account, now: OffsetDateTime) -> Result<()> {
    sqlx::query!("delete from session where account_id = ?", account.id).execute(&mut **tx).await?;
    record(tx, now, entry(actor, "ended every sign-in of", account));
    Ok(())
}

/// Gives an account a new password, and ends all its sign-ins and links.
pub async fn change_password(
    tx: &mut Tx,
    actor: Actor,
    account: &Account,
    password_hash: &str,
    now: OffsetDateTime,
) -> Result<()> {
    sqlx::query!("update account set password_hash = ? where id = ?", password_hash, account.id)
        .execute(&mut **tx)
        .await?;
    sqlx::query!("delete from session where account_id = ?", account.id).execute(&mut **tx).await?;
    sqlx::query!("delete from link where account_id = ? and purpose <> 'demo'", account.id).execute(&mut **tx).await?;
    record(tx, now, entry(actor, "changed the password of", account));
    Ok(())
}
