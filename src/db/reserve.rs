//! Space on the disk that is given up first when the disk is full, so that what is
//! typed in that moment is still kept and somebody hears of it in time.

use std::fs::{File, OpenOptions};
use std::io::{self, Write};
use std::os::unix::fs::OpenOptionsExt;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};

/// Beside the store.
const FILE: &str = "reserve";
/// So large,
const BYTES: u64 = 16 * 1024 * 1024;
/// but no more than this part of what is free. It comes back once there is so much
/// room again that it doesn't fill the disk by itself.
const PART: u64 = 8;

/// The reserve of a folder.
#[derive(Debug)]
pub(super) struct Reserve {
    path: Option<PathBuf>,
    is_given_up: AtomicBool,
}

impl Reserve {
    /// None is kept without a folder.
    pub fn of(folder: Option<&Path>) -> Self {
        Self { path: folder.map(|folder| folder.join(FILE)), is_given_up: AtomicBool::new(false) }
    }

    /// Does the store live on it now?
    pub fn is_given_up(&self) -> bool {
        self.is_given_up.load(Ordering::Relaxed)
    }

    /// Makes its space free. False if there is none.
    pub fn give_up(&self) -> bool {
        let Some(path) = &self.path else { return false };
        let was_there = std::fs::remove_file(path).is_ok();
        if was_there {
            self.is_given_up.store(true, Ordering::Relaxed);
            tracing::error!("the disk is full: the reserve is given up, so that changes are kept for now; make room");
        }
        was_there
    }

    /// Makes it, if it isn't there and there is room for it.
    ///
    /// # Errors
    /// When the disk doesn't take it after all; nothing is left of it then.
    pub fn make(&self) -> io::Result<()> {
        let Some(path) = &self.path else { return Ok(()) };
        let folder = path.parent().unwrap_or(path);
        if path.exists() {
            self.is_given_up.store(false, Ordering::Relaxed);
            return Ok(());
        }
        let disk = rustix::fs::statvfs(folder)?;
        let bytes = BYTES.min(disk.f_bavail.saturating_mul(disk.f_frsize) / PART);
        if self.is_given_up() && bytes < BYTES || bytes == 0 {
            return Ok(());
        }
        let fresh = folder.join("reserve.new");
        let made = fill(&fresh, bytes).and_then(|()| std::fs::rename(&fresh, path));
        if made.is_err() {
            // What is left of it would only be in the way.
            let _ = std::fs::remove_file(&fresh);
        } else {
            self.is_given_up.store(false, Ordering::Relaxed);
        }
        made
    }
}

/// A file that takes up its space, on every file system.
fn fill(path: &Path, bytes: u64) -> io::Result<()> {
    let mut file: File = OpenOptions::new().create(true).write(true).truncate(true).mode(0o600).open(path)?;
    io::copy(&mut io::Read::take(io::repeat(0x42), bytes), &mut file)?;
    file.flush()?;
    file.sync_all()
}

#[cfg(test)]
mod tests {
    use super::*;

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
        // This disk has room: a test machine with less than 128 MB free fails here.
        reserve.make().unwrap();
        assert!(file.exists() && !reserve.is_given_up());
        assert!(!folder.path().join("reserve.new").exists());
    }
}
