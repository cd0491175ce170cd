//! Files of people: bytes to text, text to rows, rows to people. It doesn't use the store, so
//! that tests can throw anything at it.

mod cells;
mod check;
mod checked;
mod content;
mod fields;
mod limits;
mod table;
mod text;
mod vcard;

pub use check::{read, read_as};
pub use checked::{Checked, ColumnsWrong, Problem};
pub use fields::{FIELDS, Field, HEADINGS};
pub use limits::MOST_BYTES;
pub use text::decode;
pub(in crate::directory) use vcard::{ACCESS_NEEDS, CHANNEL, JURISDICTION, NO_ANNOUNCEMENTS, SAID};
