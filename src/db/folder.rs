//! The data folder, which belongs to one process and is closed to other users.

use anyhow::{Context, bail};
use std::fs::{File, OpenOptions, Permissions, TryLockError};
use std::os::unix::fs::{DirBuilderExt, OpenOptionsExt, PermissionsExt};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

/// The store's file in the data folder.
pub const FILE: &str = "burnday.db";
/// A file beside it, locked by the process that has the store open.
const LOCK: &str = "lock";
/// How long a start waits for a folder that another process holds.
const LOCKED_WITHIN: Duration = Duration::from_secs(5);
/// How often it looks again meanwhile.
const LOOK_AGAIN: Duration = Duration::from_millis(50);

/// Creates the data folder if needed, for this user only.
///
/// # Errors
/// When it can't be created.
pub fn make_folder(folder: &Path) -> anyhow::Result<()> {
    if !folder.is_dir() {
        let mut builder = std::fs::DirBuilder::new();
        builder
            .recursive(true)
            .mode(0o700)
            .create(folder)
            .with_context(|| format!("can't create {}", folder.display()))?;
    }
    Ok(())
}

/// Nobody else on this machine may read a folder with people's names and the key to their
/// links.
fn close_to_others(folder: &Path) -> anyhow::Result<()> {
    let mode = || std::fs::metadata(folder).map(|about| about.permissions().mode());
    let is_closed = |mode: u32| mode & !0o077 == mode;
    let open = mode()?;
    if is_closed(open) {
        return Ok(());
    }
    // We don't change a folder that holds someone else's things.
    let is_ours = folder.join(FILE).exists() || std::fs::read_dir(folder)?.next().is_none();
    let closed = is_ours && std::fs::set_permissions(folder, Permissions::from_mode(open & !0o077)).is_ok();
    // Some file systems accept the change and do nothing.
    if !closed || !is_closed(mode()?) {
        bail!(
            "other users of this machine can read the folder {}. Its owner can close it with chmod 700. Or name another \
             folder with --data",
            folder.display()
        );
    }
    tracing::warn!(folder = %folder.display(), "other users could read the folder; it is now closed to them");
    Ok(())
}

pub(super) fn private(options: &mut OpenOptions) -> &mut OpenOptions {
    // SQLite gives its side files the mode of the main file.
    options.create(true).mode(0o600)
}

/// Reserves the folder for this process while it holds the returned file.
///
/// # Errors
/// When another process has it.
pub fn lock(folder: &Path) -> anyhow::Result<File> {
    make_folder(folder)?;
    close_to_others(folder)?;
    let path: PathBuf = folder.join(LOCK);
    let file = private(OpenOptions::new().append(true))
        .open(&path)
        .with_context(|| format!("can't open {}", path.display()))?;
    match try_a_while(&file) {
        Ok(()) => Ok(file),
        Err(TryLockError::WouldBlock) => bail!(
            "another Burnday is already using the folder {}. Stop it first, or give this one its own folder with \
             --data",
            folder.display()
        ),
        Err(TryLockError::Error(error)) => Err(error).with_context(|| format!("can't lock {}", path.display())),
    }
}

/// The process that had it may be stopping, or a child it just started may hold it for
/// another moment.
fn try_a_while(file: &File) -> Result<(), TryLockError> {
    let start = Instant::now();
    loop {
        match file.try_lock() {
            Err(TryLockError::WouldBlock) if start.elapsed() < LOCKED_WITHIN => std::thread::sleep(LOOK_AGAIN),
            done => return done,
        }
    }
}
