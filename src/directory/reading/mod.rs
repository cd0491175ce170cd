//! Files of people: bytes to text, text to rows, rows to people. No store, so
//! that anything can be thrown at it.

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

/// A file is no larger than this,
pub const MOST_BYTES: usize = 5 * 1024 * 1024;
/// nor is its text: a byte of an old encoding may become three.
const MOST_TEXT: usize = 8 * 1024 * 1024;
/// At most this many people,
pub const MOST_ROWS: usize = 20_000;
/// this many columns,
pub const MOST_COLUMNS: usize = 100;
/// and bytes in one cell.
pub const MOST_CELL: usize = 64 * 1024;

/// The first mistakes are told one by one, the others counted.
const MOST_TOLD: usize = 20;
