//! How much a file may hold.

use crate::web::words;

/// The largest file, in bytes.
pub const MOST_BYTES: usize = 5 * 1024 * 1024;
/// The largest text: a byte of an old encoding may become three.
pub(super) const MOST_TEXT: usize = 8 * 1024 * 1024;
/// The most people in a file.
pub const MOST_ROWS: usize = 20_000;
/// The most columns.
pub const MOST_COLUMNS: usize = 100;
/// The most bytes in one cell.
pub const MOST_CELL: usize = 64 * 1024;

/// How many problems are listed. The rest are only counted.
pub(super) const MOST_TOLD: usize = 20;

/// What to say about a file with too many people.
pub(super) fn too_many() -> String {
    format!("This file has more than {} people. Split it into smaller files.", words::grouped(MOST_ROWS))
}
