//! The files of photos, in a folder next to the store.

use super::picture::Pictures;
use super::{Taken, store};
use crate::error::Result;
use crate::state::App;
use crate::web::link::hex;
use anyhow::Context;
use image::ImageReader;
use sha2::{Digest, Sha256};
use std::collections::HashSet;
use std::fs::{File, OpenOptions};
use std::io::Write;
use std::os::unix::fs::OpenOptionsExt;
use std::path::{Path, PathBuf};
use std::time::SystemTime;
use time::{Duration, OffsetDateTime};

/// The folder in the data folder.
pub const FOLDER: &str = "photos";

/// A file that nothing refers to stays this long: a form may still send it again, or a copy
/// of the store may be in progress.
const LINGERS: Duration = Duration::HOUR;

/// Which of the two pictures of a photo.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Size {
    Large,
    Small,
}

pub(super) fn path(data: &Path, digest: &str, size: Size) -> PathBuf {
    let end = if size == Size::Large { ".jpg" } else { "-small.jpg" };
    data.join(FOLDER).join(format!("{digest}{end}"))
}

/// Writes both pictures to disk, readable by this user only.
pub(super) fn put(data: &Path, pictures: &Pictures, now: OffsetDateTime) -> Result<Taken> {
    let folder = data.join(FOLDER);
    crate::db::make_folder(&folder)?;
    let digest = hex(&Sha256::digest(&pictures.large));
    // The large one last: if it exists, both do.
    write(&path(data, &digest, Size::Small), &pictures.small, now)?;
    write(&path(data, &digest, Size::Large), &pictures.large, now)?;
    File::open(&folder)?.sync_all()?;
    let bytes = pictures.large.len() as u64;
    Ok(Taken { digest, width: pictures.width, height: pictures.height, bytes })
}

/// Under another name first, so that no one ever finds half a file.
fn write(path: &Path, bytes: &[u8], now: OffsetDateTime) -> Result<()> {
    let half = path.with_extension("part");
    let mut file = OpenOptions::new().create(true).write(true).truncate(true).mode(0o600).open(&half)?;
    file.write_all(bytes)?;
    file.set_modified(now.into())?;
    file.sync_all()?;
    std::fs::rename(&half, path)?;
    Ok(())
}

/// The photo saved under a digest.
pub(super) async fn find(data: &Path, digest: &str, now: OffsetDateTime) -> Option<Taken> {
    let is_digest = digest.len() == 64 && digest.bytes().all(|byte| matches!(byte, b'0'..=b'9' | b'a'..=b'f'));
    if !is_digest {
        return None;
    }
    let (path, digest) = (path(data, digest, Size::Large), digest.to_owned());
    let find = move || {
        // As if it had just arrived, so that it isn't swept away in the meantime.
        let file = OpenOptions::new().append(true).open(&path).ok()?;
        file.set_modified(now.into()).ok()?;
        let bytes = file.metadata().ok()?.len();
        let (width, height) = ImageReader::open(&path).ok()?.into_dimensions().ok()?;
        Some(Taken { digest, width, height, bytes })
    };
    tokio::task::spawn_blocking(find).await.ok()?
}

/// Copies all complete files into another data folder and returns the number of photos.
///
/// # Errors
/// When one can't be copied.
pub fn copy(from: &Path, into: &Path) -> anyhow::Result<usize> {
    let (from, into) = (from.join(FOLDER), into.join(FOLDER));
    if !from.is_dir() {
        return Ok(0);
    }
    crate::db::make_folder(&into)?;
    let mut copied = 0;
    for entry in std::fs::read_dir(&from).with_context(|| format!("read {}", from.display()))? {
        let path = entry?.path();
        let name = path.file_name().and_then(|name| name.to_str()).unwrap_or_default();
        if path.extension().is_none_or(|end| end != "jpg") {
            continue;
        }
        let to = into.join(name);
        // This copies the mode, too.
        std::fs::copy(&path, &to).with_context(|| format!("copy {}", path.display()))?;
        File::open(&to)?.sync_all()?;
        copied += usize::from(!name.contains('-'));
    }
    File::open(&into)?.sync_all()?;
    Ok(copied)
}

/// Deletes files that no photo refers to anymore.
///
/// # Errors
/// The store's, and when the folder can't be read.
pub async fn sweep(app: &App) -> Result<()> {
    let since = app.clock.now() - LINGERS;
    let folder = app.config.data.join(FOLDER);
    if !folder.is_dir() {
        return Ok(());
    }
    // Listed before the rows are read, so that newer files are left alone.
    let old = tokio::task::spawn_blocking(move || lingering(&folder, since.into())).await??;
    if old.is_empty() {
        return Ok(());
    }
    let kept: HashSet<String> = store::digests(app.db.read()).await?.into_iter().collect();
    for path in old {
        let name = path.file_name().and_then(|name| name.to_str()).unwrap_or_default();
        let is_whole = path.extension().is_some_and(|end| end == "jpg");
        let is_kept = is_whole && name.get(..64).is_some_and(|digest| kept.contains(digest));
        if !is_kept {
            tokio::fs::remove_file(&path).await?;
        }
    }
    Ok(())
}

/// The files that haven't been touched since then.
fn lingering(folder: &Path, since: SystemTime) -> anyhow::Result<Vec<PathBuf>> {
    let mut old = Vec::new();
    for entry in std::fs::read_dir(folder).with_context(|| format!("read {}", folder.display()))? {
        let entry = entry?;
        if entry.metadata()?.modified()? < since {
            old.push(entry.path());
        }
    }
    Ok(old)
}
