//! Everyone in one place: searching, importing files, merging duplicates, erasing personal
//! data.

mod doubles;
mod downloads;
mod duplicates;
mod editing;
mod erasing;
mod export;
mod files;
mod form;
mod form_fields;
mod found;
mod history;
mod importing;
mod list;
mod merging;
mod person_page;
mod person_references;
mod reading;
mod routes;
mod sample;
mod store;
mod story;
mod suggesting;
mod warnings;

pub use doubles::{MOST_PAIRS, Pair, Reason, pairs};
pub use export::{csv, vcards};
pub use files::{MOST_SENT, sweep};
pub use history::HISTORY;
pub use person_references::PERSON_REFERENCES;
pub use reading::{Checked, ColumnsWrong, FIELDS, Field, MOST_BYTES, decode, read, read_as};
pub use routes::{files_router, router};
