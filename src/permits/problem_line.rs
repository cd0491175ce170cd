//! What is wrong with a record, as pages show it.

use super::records::Seen;
use crate::permit_records::{Permit, Problem};
use crate::web::words;

pub(super) struct ProblemLine {
    pub says: String,
    pub is_late: bool,
    /// What it is, the dates it is about and the last day before it is late, for scripts
    /// and tests.
    pub mark: &'static str,
    pub days: String,
    pub by: String,
}

pub(super) fn problem_lines(seen: &Seen<'_>, permit: &Permit, problems: &[Problem]) -> Vec<ProblemLine> {
    let line = |problem: &Problem| ProblemLine {
        says: problem.says(permit, seen.calendar, seen.today),
        is_late: problem.is_late(seen.today),
        mark: problem.mark(),
        days: problem.days().iter().map(|day| words::iso(*day)).collect::<Vec<_>>().join(" "),
        by: problem.last_day().map(words::iso).unwrap_or_default(),
    };
    problems.iter().map(line).collect()
}
