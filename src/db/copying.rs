//! A copy of the whole store.

use super::folder::private;
use super::handle::Db;
use super::place;
use super::tx::Tx;
use crate::error::Error;
use anyhow::Context;
use sqlx::sqlite::{SqliteConnectOptions, SqliteJournalMode};
use sqlx::{ConnectOptions, Connection};
use std::fs::{File, OpenOptions};
use std::path::Path;

impl Db {
    /// Writes the whole store as it is now to one new file, whether it is in use or not.
    /// The copy's email is on hold, wherever the copy goes.
    ///
    /// # Errors
    /// When the file isn't empty or can't be written.
    #[expect(clippy::disallowed_methods, reason = "a command with no columns to check")]
    pub async fn copy_into(&self, path: &Path) -> anyhow::Result<()> {
        // SQLite treats an empty file as none, and leaves its mode alone.
        private(OpenOptions::new().create_new(true).write(true))
            .open(path)
            .with_context(|| format!("can't create {}", path.display()))?
            .sync_all()?;
        let name = path.to_str().with_context(|| format!("the path {} can't be read as text", path.display()))?;
        sqlx::query("vacuum into ?").bind(name).execute(&self.readers).await.context("can't copy the database")?;
        // With a rollback journal instead of a log, the copy stays one file.
        let copy = SqliteConnectOptions::new().filename(path).journal_mode(SqliteJournalMode::Delete);
        let mut tx = Tx::from(copy.foreign_keys(true).connect().await.context("can't open the copy")?);
        tx.begin().await?;
        place::leave(&mut tx).await.map_err(Error::cause).context("can't put the copy's email on hold")?;
        tx.commit().await.context("can't put the copy's email on hold")?;
        tx.connection.close().await.context("can't close the copy")?;
        File::open(path)?.sync_all()?;
        Ok(())
    }
}
