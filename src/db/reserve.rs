//! Disk space to give up when the disk is full, so that what people type just then is still
//! saved and someone hears about it in time.

use std::fs::{File, OpenOptions};
use std::io::{self, Write};
use std::os::unix::fs::OpenOptionsExt;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};

/// A file beside the store.
const FILE: &str = "reserve";
/// Its size in bytes.
const BYTES: u64 = 16 * 1024 * 1024;
/// It takes at most one part in this many of the free space. Once given up, it comes back
/// when there is room for it half this many times: making it must not fill the disk again.
const PART: u64 = 8;

/// The reserve of a folder.
#[derive(Debug)]
pub(super) struct Reserve {
    path: Option<PathBuf>,
    /// The size of the reserve that was given up; 0 if none was.
    given_up: AtomicU64,
}

impl Reserve {
    /// Without a folder there is no reserve.
    pub fn of(folder: Option<&Path>) -> Self {
        Self { path: folder.map(|folder| folder.join(FILE)), given_up: AtomicU64::new(0) }
    }

    /// Is the store using that space now?
    pub fn is_given_up(&self) -> bool {
        self.given_up.load(Ordering::Relaxed) > 0
    }

    /// Frees its space. False if there is none.
    pub fn give_up(&self) -> bool {
        let Some(path) = &self.path else { return false };
        let Ok(was) = std::fs::metadata(path) else { return false };
        let is_gone = std::fs::remove_file(path).is_ok();
        if is_gone {
            self.given_up.store(was.len().max(1), Ordering::Relaxed);
            tracing::error!(
                "the disk is full. The reserve was given up so that changes are still saved. Make room now"
            );
        }
        is_gone
    }

    /// Creates it if it isn't there and there is room for it.
    ///
    /// # Errors
    /// When the disk can't hold it after all. Nothing is left of it then.
    pub fn make(&self) -> io::Result<()> {
        let Some(path) = &self.path else { return Ok(()) };
        let folder = path.parent().unwrap_or(path);
        if path.exists() {
            self.given_up.store(0, Ordering::Relaxed);
            return Ok(());
        }
        let disk = rustix::fs::statvfs(folder)?;
        let Some(bytes) = size(disk.f_bavail.saturating_mul(disk.f_frsize), self.given_up.load(Ordering::Relaxed))
        else {
            return Ok(());
        };
        let fresh = folder.join("reserve.new");
        let made = fill(&fresh, bytes).and_then(|()| std::fs::rename(&fresh, path));
        if made.is_err() {
            // A partial file would only be in the way.
            let _ = std::fs::remove_file(&fresh);
        } else {
            self.given_up.store(0, Ordering::Relaxed);
        }
        made
    }
}

/// The size to create with this much space free, after one of this size was given up. None
/// if there is no room for it.
fn size(free: u64, given_up: u64) -> Option<u64> {
    let bytes = BYTES.min(free / PART);
    (bytes > 0 && free / (PART / 2) >= given_up).then_some(bytes)
}

/// Writes a file that takes up its space on every file system.
fn fill(path: &Path, bytes: u64) -> io::Result<()> {
    let mut file: File = OpenOptions::new().create(true).write(true).truncate(true).mode(0o600).open(path)?;
    io::copy(&mut io::Read::take(io::repeat(0x42), bytes), &mut file)?;
    file.flush()?;
    file.sync_all()
}

#[cfg(test)]
mod tests {
    use super::*;

    const MB: u64 = 1024 * 1024;

    #[test]
    fn it_is_a_part_of_what_is_free_and_comes_back_when_there_is_room() {
        assert_eq!(size(1_000 * MB, 0), Some(BYTES));
        assert_eq!(size(48 * MB, 0), Some(6 * MB));
        assert_eq!(size(0, 0), None);
        assert_eq!(size(20 * MB, 6 * MB), None, "it would fill the disk again");
        assert_eq!(size(46 * MB, 6 * MB), Some(46 * MB / PART));
        assert_eq!(size(60 * MB, BYTES), None);
        assert_eq!(size(64 * MB, BYTES), Some(8 * MB));
    }

    #[test]
    fn it_is_made_given_up_once_and_made_again() {
        let folder = tempfile::tempdir().unwrap();
        let reserve = Reserve::of(Some(folder.path()));
        assert!(!reserve.give_up(), "there is none yet");
        reserve.make().unwrap();
        let file = folder.path().join(FILE);
        assert!(std::fs::metadata(&file).unwrap().len() > 0);
        assert!(reserve.give_up() && !file.exists() && reserve.is_given_up());
        assert!(!reserve.give_up(), "it is gone already");
        // This disk has room: on one with less than 64 MB free this fails.
        reserve.make().unwrap();
        assert!(file.exists() && !reserve.is_given_up());
        assert!(!folder.path().join("reserve.new").exists());
    }
}
