//! A copy of everything: the store as one file, with the photos beside it.

use crate::db::{self, Db};
use crate::photos;
use anyhow::{Context, bail};
use std::fs::File;
use std::path::Path;

/// Copies a store and its photos to a folder, and returns the number of photos. The store
/// may be in use: it is copied first, and a photo file stays for an hour after nothing
/// refers to it any longer.
///
/// # Errors
/// When the folder isn't empty or the copy can't be written. Nothing is left behind then.
pub async fn make(db: &Db, data: &Path, into: &Path) -> anyhow::Result<usize> {
    let is_new = !into.exists();
    db::make_folder(into)?;
    if std::fs::read_dir(into)?.next().is_some() {
        bail!("{} is not empty. Name a new folder", into.display());
    }
    let made = copy(db, data, into).await;
    if made.is_err() {
        clear(into, is_new).context("can't remove the unfinished copy")?;
    }
    made
}

async fn copy(db: &Db, data: &Path, into: &Path) -> anyhow::Result<usize> {
    db.copy_into(&into.join(db::FILE)).await?;
    let copied = photos::copy(data, into)?;
    File::open(into)?.sync_all()?;
    Ok(copied)
}

/// Removes an unfinished copy, so that nobody takes it for a whole one. The folder was
/// empty before.
fn clear(into: &Path, is_new: bool) -> anyhow::Result<()> {
    for entry in std::fs::read_dir(into)? {
        let path = entry?.path();
        if path.is_dir() { std::fs::remove_dir_all(&path)? } else { std::fs::remove_file(&path)? }
    }
    if is_new {
        std::fs::remove_dir(into)?;
    }
    Ok(())
}
