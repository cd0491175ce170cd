//! Is a store served where it was served last, or is it a copy?
//!
//! Nothing that is copied with a folder can tell, so this relies on something the file
//! system gives a file and no program can set: the moment it was created. Each start creates
//! a new file beside the store, the mark, and the store saves that moment. A copy has files
//! that were created later, and a copy laid over the original names an earlier mark than the
//! one that is there. A copied disk has the same files, so the machine and the folder's path
//! count too. Device and inode numbers don't: they can change when a disk or volume is
//! mounted again, and a removed file's number is reused.

use super::folder::private;
use super::tx::Tx;
use crate::clock::Clock;
use crate::error::Result;
use crate::mail::outbox;
use crate::web::link::hex;
use anyhow::Context;
use rand::Rng;
use sha2::{Digest, Sha256};
use std::fs::{File, Metadata, OpenOptions};
use std::io::Write as _;
use std::os::unix::fs::MetadataExt;
use std::path::Path;
use std::time::UNIX_EPOCH;

const MARK: &str = "place-";

const MARK_SAYS: &str =
    "Burnday uses this file to tell that the data beside it is the original. Copies don't need it.\n";

/// A place where a store was served.
#[derive(Debug)]
struct Place {
    folder: String,
    machine: String,
    mark: String,
    born_ns: Option<i64>,
    changed_ns: i64,
}

impl Place {
    /// This place, with a new mark.
    fn make(folder: &Path) -> anyhow::Result<Self> {
        let mark = format!("{MARK}{:016x}", rand::rng().next_u64());
        let path = folder.join(&mark);
        let mut file = private(OpenOptions::new().write(true).create_new(true))
            .open(&path)
            .with_context(|| format!("can't create {}", path.display()))?;
        file.write_all(MARK_SAYS.as_bytes())?;
        file.sync_all()?;
        File::open(folder)?.sync_all()?;
        let (born_ns, changed_ns) = times(&file.metadata()?);
        let folder = std::fs::canonicalize(folder).with_context(|| format!("can't find {}", folder.display()))?;
        Ok(Self { folder: folder.to_string_lossy().into_owned(), machine: machine(), mark, born_ns, changed_ns })
    }

    /// Is its mark in this folder, on this machine?
    fn is_at(&self, folder: &Path) -> bool {
        let Ok(found) = std::fs::metadata(folder.join(&self.mark)) else { return false };
        let (born_ns, changed_ns) = times(&found);
        let same_mark = match (self.born_ns, born_ns) {
            (Some(then), Some(now)) => then == now,
            _ => self.changed_ns == changed_ns,
        };
        let path = std::fs::canonicalize(folder).is_ok_and(|path| path.to_string_lossy() == self.folder);
        same_mark && path && self.machine == machine()
    }
}

/// When a file was created, if the system says so, and when it last changed, in
/// nanoseconds.
fn times(of: &Metadata) -> (Option<i64>, i64) {
    let born = of.created().ok().and_then(|at| at.duration_since(UNIX_EPOCH).ok());
    // Some systems say 1970 when they don't know.
    let born = born.filter(|since| since.as_secs() > 0).and_then(|since| i64::try_from(since.as_nanos()).ok());
    (born, of.ctime().saturating_mul(1_000_000_000).saturating_add(of.ctime_nsec()))
}

/// A digest of the number a system gets when it is installed, which itself must stay
/// private. Empty in most containers.
fn machine() -> String {
    let number = std::fs::read_to_string("/etc/machine-id").unwrap_or_default();
    let number = number.trim();
    if number.len() != 32 || !number.bytes().all(|byte| byte.is_ascii_hexdigit()) {
        return String::new();
    }
    let digest = Sha256::digest(format!("burnday {number}"));
    hex(&digest[..16])
}

/// Saves that the store is served in this folder from now on. If it wasn't before, all email
/// is put on hold in the same transaction, so whatever fails later, only a release lets email
/// go. True if so.
pub(super) async fn take(tx: &mut Tx, folder: &Path) -> Result<bool> {
    let last = sqlx::query_as!(Place, "select folder, machine, mark, born_ns, changed_ns from served_place");
    let is_copy = match last.fetch_optional(&mut **tx).await? {
        Some(last) => !last.is_at(folder),
        // A store without accounts is new, or has nothing to send.
        None => {
            sqlx::query_scalar!(r#"select exists(select 1 from account) as "any!: bool""#).fetch_one(&mut **tx).await?
        }
    };
    renew(tx, folder).await?;
    if is_copy {
        outbox::hold_copy(tx, Clock::System.now()).await?;
    }
    Ok(is_copy)
}

/// Makes a new mark, so that a copy made before this moment counts as a copy even if it is
/// laid over the original.
pub(super) async fn renew(tx: &mut Tx, folder: &Path) -> Result<()> {
    let place = Place::make(folder)?;
    sqlx::query!(
        "insert into served_place (id, folder, machine, mark, born_ns, changed_ns) values (1, ?, ?, ?, ?, ?)
         on conflict (id) do update set folder = excluded.folder, machine = excluded.machine, mark = excluded.mark,
                                        born_ns = excluded.born_ns, changed_ns = excluded.changed_ns",
        place.folder,
        place.machine,
        place.mark,
        place.born_ns,
        place.changed_ns
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// Removes older marks, which the store no longer names.
pub(super) async fn sweep(tx: &mut Tx, folder: &Path) -> anyhow::Result<()> {
    let noted = sqlx::query_scalar!("select mark from served_place").fetch_optional(&mut **tx).await?;
    for entry in std::fs::read_dir(folder).with_context(|| format!("can't read {}", folder.display()))? {
        let entry = entry?;
        let name = entry.file_name();
        let name = name.to_string_lossy();
        if name.starts_with(MARK) && Some(name.as_ref()) != noted.as_deref() {
            std::fs::remove_file(entry.path()).with_context(|| format!("can't remove {}", entry.path().display()))?;
        }
    }
    Ok(())
}

/// Marks the store as a copy for good, wherever it goes and however old its schema is.
pub(super) async fn leave(tx: &mut Tx) -> Result<()> {
    let is_known = sqlx::query_scalar!(
        r#"select exists(select 1 from sqlite_master where name = 'served_place') as "any!: bool""#
    );
    if is_known.fetch_one(&mut **tx).await? {
        sqlx::query!("delete from served_place").execute(&mut **tx).await?;
    }
    outbox::hold_copy(tx, Clock::System.now()).await
}
