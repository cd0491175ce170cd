//! Finds the dates and times in a text, however people write them: "Saturday, Oct. 9",
//! "October 9th, 2027", "10/9/2027", "2027-10-09", "10 a.m. to noon", "13:00". Texts from
//! before dates were written the American way have "Sat 9 Oct 2027" and "13:00".
//!
//! A date in numbers has the month first, as in the United States. The spellings are
//! common practice, no source.

mod clocks;
mod days;
mod named;
mod reader;
mod tokens;
mod words;

use reader::Reader;
use tokens::tokens;

pub use named::Named;

/// A date or time, and where it is in the text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Found {
    /// Where it begins, in bytes.
    pub start: usize,
    /// Where it ends, in bytes: the first that isn't part of it.
    pub end: usize,
    /// What it names.
    pub named: Named,
}

/// All dates and times in a text, in order.
#[must_use]
pub fn find(text: &str) -> Vec<Found> {
    let reader = Reader { all: tokens(text) };
    let mut found = Vec::new();
    let mut at = 0;
    while at < reader.all.len() {
        match reader.day(at).or_else(|| reader.clock(at)) {
            Some((named, next)) => {
                let end = reader.all[next - 1].end;
                found.extend(named.into_iter().map(|named| Found { start: reader.all[at].start, end, named }));
                at = next;
            }
            None => at += 1,
        }
    }
    found
}

#[cfg(test)]
mod tests;
