//! What is said and should be said differently.

use super::mend::{Mend, at, quoted};
use crate::calc::talk::{Audience, Concern};
use crate::talk::parts::is_unused;
use crate::talk::says::hint;
use crate::talk::snapshot::TalkSnapshot;
use crate::web::words::capital;

/// What is said and should be said differently.
pub(super) fn wording(snapshot: &TalkSnapshot) -> Vec<Mend> {
    let mut all = Vec::new();
    for timed in snapshot.lines.iter().filter(|timed| !is_unused(snapshot, timed.line.part)) {
        for found in &timed.checked.found {
            let is_promise = found.kind == Concern::Promise;
            let (what, problem) = match found.kind {
                Concern::Jargon => ("jargon", "is jargon"),
                Concern::Frightening if timed.line.audience == Audience::Adults => continue,
                Concern::Frightening => ("frightening", "frightens children"),
                Concern::Promise => ("promise", "promises more than anyone can"),
            };
            all.push(Mend {
                grade: if is_promise { "wrong" } else { "look" },
                what,
                title: format!("“{}” {problem}", found.said),
                beneath: capital(&hint(found)),
                href: at(timed),
            });
        }
        if let Some(limit) =
            timed.line.audience.sentence_limit().filter(|limit| timed.checked.longest_sentence > *limit)
        {
            all.push(Mend {
                grade: "look",
                what: "sentence",
                title: format!("A sentence of {} words for children", timed.checked.longest_sentence),
                beneath: format!("{}: {limit} at most.", quoted(timed)),
                href: at(timed),
            });
        }
    }
    for audience in [Audience::Children, Audience::Adults] {
        let grade = snapshot.reading(|line| line.audience == audience).grade();
        if let Some(grade) = grade.filter(|grade| *grade > audience.grade_limit()) {
            all.push(Mend {
                grade: "look",
                what: "grade",
                title: format!("The lines for {audience} read at grade {grade:.1}"),
                beneath: format!(
                    "Aim for grade {} or lower: shorter sentences, shorter words.",
                    audience.grade_limit()
                ),
                href: "#grades".to_owned(),
            });
        }
    }
    all
}
