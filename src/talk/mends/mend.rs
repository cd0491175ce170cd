//! Something to mend.

use crate::talk::snapshot::TimedLine;

/// Something to mend, and where.
pub(in crate::talk) struct Mend {
    /// "wrong" or "look".
    pub grade: &'static str,
    /// For tests.
    pub what: &'static str,
    pub title: String,
    pub beneath: String,
    pub href: String,
}

pub(super) fn quoted(timed: &TimedLine) -> String {
    const MOST: usize = 50;
    let begins: String = timed.line.words.chars().take(MOST).collect();
    let more = if timed.line.words.chars().count() > MOST { "…" } else { "" };
    format!("“{}{more}”", begins.trim_end())
}

pub(super) fn at(timed: &TimedLine) -> String {
    format!("#line-{}", timed.line.id)
}
