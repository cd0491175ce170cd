//! Counts of items in words.

use crate::web::words;

/// "1,200".
pub(super) fn grouped(number: impl std::borrow::Borrow<u32>) -> String {
    words::grouped(usize::try_from(*number.borrow()).unwrap_or(usize::MAX))
}

/// "1 pair", "1,200 pairs".
pub(super) fn counted(number: u32, one: &str, many: &str) -> String {
    words::count(usize::try_from(number).unwrap_or(usize::MAX), one, many)
}
