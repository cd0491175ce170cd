//! How much time each part has.

use super::says::{clock, lasts, mark, of_hundred, share, turn};
use super::snapshot::TalkSnapshot;
use crate::calc::talk::{Audience, Part, Section};
use crate::web::words;

/// When a branch is used, by the plan's fires.
pub(super) fn when(snapshot: &TalkSnapshot, part: Part) -> String {
    let Some((moment, side)) = turn(part) else { return String::new() };
    let Some(turns) = snapshot.turns(moment) else { return String::new() };
    let count = snapshot.fires().map_or(0, |fires| fires.times.len());
    match side {
        "early" => format!("Before {}: 1 in 10 of the simulated fires in which it comes.", clock(turns.early)),
        "late" => format!("Not by {}: 1 in 10 of the simulated fires in which it comes.", clock(turns.late)),
        _ => {
            let never = of_hundred(share(turns.never, count));
            format!("When the burn boss says so. It never comes in {never} simulated fires.")
        }
    }
}

/// The time that a card has for its part, or when a branch is used.
pub(super) fn on_card(snapshot: &TalkSnapshot, part: Part) -> String {
    if part.is_branch() {
        return when(snapshot, part);
    }
    let section = snapshot.fitted.sections.iter().find(|section| section.part == part);
    let leaves = section.and_then(|section| section.leaves);
    leaves.map_or_else(String::new, |leaves| {
        format!("At least {} in 9 of 10 simulated fires. Screening estimate.", lasts(leaves.floor()))
    })
}

pub(super) fn takes(seconds: f64) -> String {
    if seconds > 0.0 { format!("Takes {}.", lasts(seconds)) } else { String::new() }
}

/// What a part before or after a fire has time for.
pub(super) fn around(snapshot: &TalkSnapshot, part: Part) -> (String, bool) {
    let wanted = snapshot.seconds(part);
    if part != Part::Before {
        return (takes(wanted), false);
    }
    let has = snapshot.before_ignition();
    let over = wanted - has;
    let clear = f64::from(snapshot.settings.clear) * 60.0;
    let clear =
        if clear > 0.0 { format!(" and {} for the search and the go/no-go poll", lasts(clear)) } else { String::new() };
    let leaves = format!("The program{clear} leave {}.", if has > 0.0 { lasts(has) } else { "no time".to_owned() });
    let leaves = if clear.is_empty() { leaves.replace("leave", "leaves") } else { leaves };
    let fits = if over > 0.5 {
        format!("These lines take {}: {} too long.", lasts(wanted), lasts(over))
    } else {
        format!("These lines take {}.", lasts(wanted))
    };
    if wanted > 0.0 { (format!("{leaves} {fits}"), over > 0.5) } else { (leaves, false) }
}

/// What the fires leave for a part of a burn.
pub(super) fn budget(snapshot: &TalkSnapshot, section: &Section) -> (String, bool) {
    let count = snapshot.fires().map_or(0, |fires| fires.times.len());
    if section.comes == 0 {
        return ("This doesn't happen in any simulated fire.".to_owned(), false);
    }
    let comes = if section.comes < count {
        format!("Comes in {} simulated fires. ", of_hundred(share(section.comes, count)))
    } else {
        String::new()
    };
    let Some(leaves) = section.leaves else {
        return (format!("{comes}In most simulated fires, no key moment follows. {}", takes(section.wanted)), false);
    };
    let lines = snapshot.seconds(section.part);
    let quiet = section.wanted - lines;
    let words = snapshot.settings.pace.words((leaves - quiet).max(0.0), Audience::All);
    let ends = section.ended_by.map(|by| format!(" Most often, {} ends it.", mark(by))).unwrap_or_default();
    let has = format!(
        "{comes}In 9 of 10{} you have at least {} here, about {}.{ends}",
        if comes.is_empty() { " simulated fires" } else { " of them" },
        lasts(leaves.floor()),
        words::count(words as usize, "word", "words")
    );
    let over = section.wanted - leaves;
    if lines <= 0.0 {
        return (has, false);
    }
    let quiet = if quiet > 0.0 { format!(" after {} of quiet", lasts(quiet)) } else { String::new() };
    if over > 0.0 {
        (format!("{has} Your lines take {}{quiet}: {} too long.", lasts(lines), lasts(over.max(1.0))), true)
    } else {
        (format!("{has} Your lines take {}{quiet}.", lasts(lines)), false)
    }
}
