//! A copy of everything: the store as one file, and the photos beside it.

use crate::db::{self, Db};
use crate::photos;
use anyhow::bail;
use std::fs::File;
use std::path::Path;

/// Copies a store and its photos into a folder, and gives the number of photos.
/// The store may be served meanwhile: its copy is made first, and a photo it
/// knows stays for an hour after it is needed no more.
///
/// # Errors
/// When the folder holds something, or the copy can't be written.
pub async fn make(db: &Db, data: &Path, into: &Path) -> anyhow::Result<usize> {
    db::make_folder(into)?;
    if std::fs::read_dir(into)?.next().is_some() {
        bail!("{} holds something already; name a new folder", into.display());
    }
    db.copy_into(&into.join(db::FILE)).await?;
    let copied = photos::copy(data, into)?;
    File::open(into)?.sync_all()?;
    Ok(copied)
}
