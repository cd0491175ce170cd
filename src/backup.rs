//! A copy of everything: the store as one file, and the photos beside it.

use crate::db::{self, Db};
use crate::photos;
use anyhow::{Context, bail};
use std::fs::File;
use std::path::Path;

/// Copies a store and its photos into a folder, and gives the number of photos.
/// The store may be served meanwhile: its copy is made first, and a photo it
/// knows stays for an hour after it is needed no more.
///
/// # Errors
/// When the folder holds something, or the copy can't be written: then nothing of
/// it is left.
pub async fn make(db: &Db, data: &Path, into: &Path) -> anyhow::Result<usize> {
    let is_new = !into.exists();
    db::make_folder(into)?;
    if std::fs::read_dir(into)?.next().is_some() {
        bail!("{} holds something already; name a new folder", into.display());
    }
    let made = copy(db, data, into).await;
    if made.is_err() {
        clear(into, is_new).context("remove the part of a copy that was made")?;
    }
    made
}

async fn copy(db: &Db, data: &Path, into: &Path) -> anyhow::Result<usize> {
    db.copy_into(&into.join(db::FILE)).await?;
    let copied = photos::copy(data, into)?;
    File::open(into)?.sync_all()?;
    Ok(copied)
}

/// A part of a copy must not pass for one. The folder was empty before.
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
