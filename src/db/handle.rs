//! The open store, for everyone who reads or writes.

use super::place;
use super::reserve::Reserve;
use super::trouble::{LastCommit, Trouble};
use super::tx::Tx;
use super::writer::{Write, Writer};
use anyhow::anyhow;
use sqlx::{Connection, SqliteConnection, SqlitePool};
use std::fs::File;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;
use tokio::sync::Mutex;

/// A monitor's check makes a write no more often than this.
const PROBED_WITHIN: Duration = Duration::from_secs(30);

/// The open store. Cheap to clone.
#[derive(Clone)]
pub struct Db {
    pub(super) readers: SqlitePool,
    pub(super) writer: Writer,
    pub(super) last_commit: LastCommit,
    pub(super) reserve: Arc<Reserve>,
    /// Sees every commit by others, and makes none.
    pub(super) watch: Arc<Mutex<Option<SqliteConnection>>>,
    /// The folder, if this process serves it.
    pub(super) home: Option<Arc<Home>>,
}

/// A folder this process serves.
pub(super) struct Home {
    pub folder: PathBuf,
    /// Held while the store is open.
    pub _lock: File,
}

impl Db {
    /// Runs a write in a transaction and waits until it is on disk. An error undoes only
    /// this write. The write may run again from the start when another one in the same
    /// transaction failed, so it must not act on anything but the store.
    ///
    /// # Errors
    /// The write's own, or the store's when it can't be committed.
    pub async fn write<T, F>(&self, write: F) -> crate::error::Result<T>
    where
        T: Send + 'static,
        F: for<'c> FnOnce(&'c mut Tx) -> Write<'c, T> + Clone + Send + 'static,
    {
        self.writer.write(write, true).await
    }

    /// The same for a write that reads none of the rows that others like it add at the
    /// commit. Many of them share the statements that add these.
    ///
    /// # Errors
    /// The write's own, or the store's when it can't be committed.
    pub async fn append<T, F>(&self, write: F) -> crate::error::Result<T>
    where
        T: Send + 'static,
        F: for<'c> FnOnce(&'c mut Tx) -> Write<'c, T> + Clone + Send + 'static,
    {
        self.writer.write(write, false).await
    }

    /// How many writes wait for their turn.
    #[must_use]
    pub fn waiting(&self) -> usize {
        self.writer.waiting()
    }

    /// The digest saved under a form's key.
    pub async fn digest_of_form(&self, key: &str) -> crate::error::Result<Option<Vec<u8>>> {
        Ok(sqlx::query_scalar!("select digest from form_key where key = ?", key).fetch_optional(self.read()).await?)
    }

    /// For reading. A write through it fails.
    #[must_use]
    pub fn read(&self) -> &SqlitePool {
        &self.readers
    }

    /// A number that changes with every change, by this process or any other. While it
    /// stays the same, what was read is still true.
    pub async fn version(&self) -> crate::error::Result<i64> {
        let mut watch = self.watch.lock().await;
        let watch = watch.as_mut().ok_or_else(|| anyhow!("the store is closed"))?;
        #[expect(clippy::disallowed_methods, reason = "pragmas have no columns to check")]
        let version = sqlx::query_scalar("pragma data_version").fetch_one(watch).await?;
        Ok(version)
    }

    /// Waits for writes in progress, then closes the file.
    pub async fn close(&self) {
        if let Some(home) = &self.home
            && let Err(error) = self.renew_place(home).await
        {
            tracing::warn!("the mark of the folder could not be replaced: {error:?}");
        }
        // The last connection to close folds the log back into the file, and a reader isn't
        // allowed to.
        self.readers.close().await;
        if let Some(watch) = self.watch.lock().await.take() {
            let _ = watch.close().await;
        }
        self.writer.stop().await;
    }

    /// A copy made while the store was open must not pass for the original later.
    async fn renew_place(&self, home: &Arc<Home>) -> crate::error::Result<()> {
        let folder = Arc::clone(home);
        self.write(move |tx| Box::pin(async move { place::renew(tx, &folder.folder).await })).await?;
        let folder = Arc::clone(home);
        // Only once the new one is safely saved.
        self.write(move |tx| Box::pin(async move { Ok(place::sweep(tx, &folder.folder).await?) })).await
    }

    /// Sets aside space to give up when the disk is full, if there is room for it.
    ///
    /// # Errors
    /// When the disk can't hold it.
    pub async fn keep_reserve(&self) -> crate::error::Result<()> {
        let reserve = Arc::clone(&self.reserve);
        Ok(tokio::task::spawn_blocking(move || reserve.make()).await??)
    }

    /// Can the store be read and written? A write that was saved a moment ago answers the
    /// second question.
    ///
    /// # Errors
    /// When not.
    pub async fn probe(&self) -> crate::error::Result<()> {
        sqlx::query_scalar!("select at from heartbeat").fetch_one(&self.readers).await?;
        if self.last_commit.was_kept_within(PROBED_WITHIN) {
            return Ok(());
        }
        self.write(|tx| {
            Box::pin(async move {
                // There and back, so that a page goes to the disk and nothing changes. SQLite
                // skips a write that changes nothing.
                sqlx::query!("update heartbeat set at = at + 1").execute(&mut **tx).await?;
                sqlx::query!("update heartbeat set at = at - 1").execute(&mut **tx).await?;
                Ok(())
            })
        })
        .await
    }

    /// What kept the last write from being saved, or soon will; none if all is well.
    #[must_use]
    pub fn trouble(&self) -> Option<Trouble> {
        self.last_commit.trouble().or_else(|| self.reserve.is_given_up().then_some(Trouble::Low))
    }
}
