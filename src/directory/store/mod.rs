//! All SQL about imports and pairs of people.

mod imports;
mod told_apart;

pub use imports::{
    Done, Import, choose_columns, choose_heading, done, drop_waiting, import_of, keep_file, settle, unsettle, waiting,
};
pub use told_apart::{not_doubles, say_two};
