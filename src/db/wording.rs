//! The version of the wording that the store's texts are in.

use super::Tx;
use crate::error::Result;
use sqlx::SqlitePool;

pub async fn version(db: &SqlitePool) -> Result<i64> {
    Ok(sqlx::query_scalar!("select version from wording").fetch_one(db).await?)
}

pub async fn set_version(tx: &mut Tx, version: i64) -> Result<()> {
    sqlx::query!("update wording set version = ?", version).execute(&mut **tx).await?;
    Ok(())
}
