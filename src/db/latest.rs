//! What takes long to read and is looked at far more often than it changes.

use super::Db;
use crate::error::Result;
use std::future::Future;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// Keeps the latest result for as long as the store doesn't change. All clones share it.
#[derive(Debug)]
pub struct Latest<K, T>(Arc<Mutex<Option<Kept<K, T>>>>);

#[derive(Debug)]
struct Kept<K, T> {
    /// What it is about.
    key: K,
    /// The store's version when it was read.
    version: i64,
    found: Arc<T>,
}

impl<K, T> Default for Latest<K, T> {
    fn default() -> Self {
        Self(Arc::default())
    }
}

impl<K, T> Clone for Latest<K, T> {
    fn clone(&self) -> Self {
        Self(Arc::clone(&self.0))
    }
}

impl<K: PartialEq, T> Latest<K, T> {
    /// The result for this key: the one that is kept if it still holds, or a new one.
    /// `read` must read all of it anew, since what the caller read before may be older.
    ///
    /// # Errors
    /// Those of `read`; the store's.
    pub async fn of<F>(&self, db: &Db, key: K, read: impl FnOnce() -> F) -> Result<Arc<T>>
    where
        F: Future<Output = Result<T>>,
    {
        // Read first, so that what is kept is never older than its version says.
        let version = db.version().await?;
        let fits = |kept: &&Kept<K, T>| kept.key == key && kept.version == version;
        if let Some(kept) = self.kept().as_ref().filter(fits) {
            return Ok(Arc::clone(&kept.found));
        }
        let found = Arc::new(read().await?);
        *self.kept() = Some(Kept { key, version, found: Arc::clone(&found) });
        Ok(found)
    }

    fn kept(&self) -> MutexGuard<'_, Option<Kept<K, T>>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}
