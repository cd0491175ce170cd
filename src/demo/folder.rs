//! The demo's folder.

use crate::{db, photos};
use anyhow::{Context, bail};
use std::path::Path;

/// A file in the demo's folder. A folder without it is never emptied.
const MARKER: &str = "this-is-a-burnday-demo";

/// Empties the folder of an earlier demo.
///
/// # Errors
/// When the folder is in use, or holds something else.
pub fn clear(folder: &Path) -> anyhow::Result<()> {
    db::make_folder(folder)?;
    let marker = folder.join(MARKER);
    let is_empty = std::fs::read_dir(folder)?.next().is_none();
    if !is_empty && !marker.is_file() {
        bail!("{} has files that aren't from a demo. Name another folder with --folder", folder.display());
    }
    // Fails while another process is using the folder, and keeps others out.
    let _lock = db::lock(folder)?;
    if !is_empty {
        // Links in old emails would work again in a new demo.
        for folder in ["mail", "incoming", photos::FOLDER].map(|name| folder.join(name)) {
            if folder.is_dir() {
                std::fs::remove_dir_all(&folder).with_context(|| format!("can't remove {}", folder.display()))?;
            }
        }
        for suffix in ["", "-wal", "-shm"] {
            let path = folder.join(format!("{}{suffix}", db::FILE));
            if path.exists() {
                std::fs::remove_file(&path).with_context(|| format!("can't remove {}", path.display()))?;
            }
        }
    }
    std::fs::write(&marker, "Everything in this folder is replaced each time the demo starts.\n")?;
    std::fs::set_permissions(&marker, std::os::unix::fs::PermissionsExt::from_mode(0o600))?;
    Ok(())
}

/// Refuses to store real data in a demo's folder, since the next demo would replace it.
///
/// # Errors
/// When the folder is a demo's.
pub fn refuse(folder: &Path) -> anyhow::Result<()> {
    if folder.join(MARKER).exists() {
        bail!(
            "{} is the folder of a demo. The next demo would replace everything you enter. Name another folder with --data",
            folder.display()
        );
    }
    Ok(())
}
