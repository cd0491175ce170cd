//! Objectives that aren't taught, or lack a source.

use super::mend::Mend;
use crate::talk::OBJECTIVES;
use crate::talk::snapshot::TalkSnapshot;
use crate::web::words;

pub(super) fn lesson(snapshot: &TalkSnapshot) -> Vec<Mend> {
    let href = format!("{}/burn-day/talk/lesson", snapshot.event.href());
    let mut all = Vec::new();
    for (objective, coverage) in snapshot.objectives.iter().zip(&snapshot.coverage) {
        if !coverage.is_covered() {
            all.push(Mend {
                grade: "wrong",
                what: "uncovered",
                title: format!("No line teaches “{}”", objective.text),
                beneath: "Choose it in a line, or take it out of the lesson plan.".to_owned(),
                href: format!("{href}#objective-{}", objective.id),
            });
        }
        if !objective.has_source() {
            all.push(Mend {
                grade: "look",
                what: "source",
                title: format!("No source for “{}”", objective.message),
                beneath: "Enter the source and its edition. Without them, the message can't go to the press."
                    .to_owned(),
                href: format!("{href}#objective-{}", objective.id),
            });
        }
    }
    let count = snapshot.objectives.len();
    if !OBJECTIVES.contains(&count) {
        all.push(Mend {
            grade: "look",
            what: "objectives",
            title: format!("The lesson has {}", words::count(count, "objective", "objectives")),
            beneath: format!("Plan {} to {}: people remember a few.", OBJECTIVES.start(), OBJECTIVES.end()),
            href,
        });
    }
    all
}
