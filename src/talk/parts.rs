//! The parts of the talk, as pages show them.

use super::budget::{around, budget, takes, when};
use super::says::{LONG_SILENCE, burning, lasts, mark, name};
use super::shown_line::{ShownLine, line_of};
use super::snapshot::TalkSnapshot;
use crate::calc::talk::{Part, Section};

/// A part on the page.
pub(super) struct ShownPart {
    pub key: &'static str,
    pub name: &'static str,
    /// What the fires leave for it, and how long it is.
    pub budget: String,
    /// "over" if its lines don't fit in 9 of 10 fires, else empty.
    pub state: &'static str,
    pub silence: String,
    pub lines: Vec<ShownLine>,
}

/// The parts of the talk in this format, and then those for when something goes differently.
pub(super) fn parts(snapshot: &TalkSnapshot) -> (Vec<ShownPart>, Vec<ShownPart>) {
    let of = |parts: &[Part]| parts.iter().map(|part| part_of(snapshot, *part)).collect::<Vec<_>>();
    let mut main = of(Part::sequence(snapshot.is_both()));
    // Lines that the other format had stay where they can be seen.
    let unused = Part::ALL.into_iter().filter(|part| is_unused(snapshot, *part));
    main.extend(unused.map(|part| ShownPart {
        budget: format!(
            "Not spoken {}. Move these lines to another part, or remove them.",
            burning(snapshot.event.details.format)
        ),
        state: "unused",
        ..part_of(snapshot, part)
    }));
    (main, of(&Part::BRANCHES))
}

/// Does a part have lines, and no place in this format?
pub(super) fn is_unused(snapshot: &TalkSnapshot, part: Part) -> bool {
    let has_place = part.is_branch() || Part::sequence(snapshot.is_both()).contains(&part);
    !has_place && snapshot.of_part(part).next().is_some()
}

fn part_of(snapshot: &TalkSnapshot, part: Part) -> ShownPart {
    let section = snapshot.fitted.sections.iter().find(|section| section.part == part);
    let mut lines: Vec<ShownLine> = snapshot.of_part(part).map(|(at, timed)| line_of(snapshot, at, timed)).collect();
    let ids: Vec<i64> = lines.iter().map(|line| line.id).collect();
    for (at, line) in lines.iter_mut().enumerate() {
        line.above = at.checked_sub(1).map(|above| ids[above]);
        line.below = ids.get(at + 1).copied();
    }
    let (budget, is_over) = if part.is_branch() {
        (when(snapshot, part), false)
    } else {
        match (section, snapshot.fires()) {
            (Some(section), Some(_)) => budget(snapshot, section),
            (Some(section), None) => (takes(section.wanted), false),
            (None, _) => around(snapshot, part),
        }
    };
    ShownPart {
        key: part.as_str(),
        name: name(part, snapshot.event.details.format),
        budget,
        state: if is_over { "over" } else { "" },
        silence: section.map(silence).unwrap_or_default(),
        lines,
    }
}

fn silence(section: &Section) -> String {
    let Some(silence) = section.silence.filter(|silence| silence.half >= LONG_SILENCE) else { return String::new() };
    format!(
        "Then nothing is said for {} or more in half of the fires in which {} comes, and for more than {} in 1 of 10.",
        lasts(silence.half),
        section.ended_by.map_or("the next key moment", mark),
        lasts(silence.most)
    )
}
