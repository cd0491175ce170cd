//! Files of people: bytes to text, text to rows, rows to people. It doesn't use the store, so
//! that tests can throw anything at it.

mod check;
mod content;
mod fields;
mod table;
mod text;
mod vcard;

pub use check::{Checked, ColumnsWrong, Problem, read, read_as};
pub use fields::{FIELDS, Field, HEADINGS};
pub use text::decode;
pub(in crate::directory) use vcard::{ACCESS_NEEDS, CHANNEL, JURISDICTION, NO_ANNOUNCEMENTS, SAID};

/// The largest file, in bytes.
pub const MOST_BYTES: usize = 5 * 1024 * 1024;
/// The largest text: a byte of an old encoding may become three.
const MOST_TEXT: usize = 8 * 1024 * 1024;
/// The most people in a file.
pub const MOST_ROWS: usize = 20_000;
/// The most columns.
pub const MOST_COLUMNS: usize = 100;
/// The most bytes in one cell.
pub const MOST_CELL: usize = 64 * 1024;

/// How many problems are listed. The rest are only counted.
const MOST_TOLD: usize = 20;
