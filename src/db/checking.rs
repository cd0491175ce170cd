//! Is the store whole, and in this version?

use super::handle::Db;
use super::opening::MIGRATIONS;

impl Db {
    /// What is wrong with the store; empty if all is well.
    ///
    /// # Errors
    /// When it can't be read at all.
    #[expect(clippy::disallowed_methods, reason = "pragmas have no columns to check")]
    pub async fn check(&self) -> crate::error::Result<Vec<String>> {
        let mut wrong: Vec<String> = sqlx::query_scalar("pragma integrity_check").fetch_all(&self.readers).await?;
        wrong.retain(|line| line != "ok");
        let orphans = sqlx::query("pragma foreign_key_check").fetch_all(&self.readers).await?.len();
        if orphans > 0 {
            wrong.push(format!("{orphans} rows refer to rows that no longer exist. Restore a backup"));
        }
        let version: i64 =
            sqlx::query_scalar("select max(version) from _sqlx_migrations").fetch_one(&self.readers).await?;
        let known = MIGRATIONS.iter().map(|migration| migration.version).max().unwrap_or_default();
        if version < known {
            wrong
                .push(format!("the data is in version {version}, older than {known}. Start the app once to update it"));
        }
        Ok(wrong)
    }
}
