//! The talk in words: what each part is called, and what fits.

use super::Looks;
use super::snapshot::{TalkSnapshot, TimedLine};
use crate::calc::talk::{Audience, Concern, Found, LineFit, Mark, Part, Section};
use crate::events::Format;
use crate::web::words;

/// Silence longer than this is named, s: common practice, no source.
pub(super) const LONG_SILENCE: f64 = 45.0;

/// "1:05".
pub(super) fn clock(seconds: f64) -> String {
    let seconds = whole(seconds);
    format!("{}:{:02}", seconds / 60, seconds % 60)
}

/// Without decimals. Below zero it counts as none.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "talks take minutes")]
pub(super) fn whole(seconds: f64) -> u32 {
    seconds.round().clamp(0.0, 1e9) as u32
}

/// "19 s", "1 min 20 s".
pub(super) fn lasts(seconds: f64) -> String {
    crate::calc::program::says(whole(seconds))
}

/// Which part of all fires these are.
#[expect(clippy::cast_precision_loss, reason = "a plan has a few thousand fires")]
pub(super) fn share(part: usize, all: usize) -> f64 {
    if all == 0 { 0.0 } else { part as f64 / all as f64 }
}

/// "96 of 100". None of them and all of them only if that is so.
pub(super) fn of_hundred(share: f64) -> String {
    let rounded = whole(share * 100.0);
    let number = if share > 0.0 && rounded == 0 {
        "fewer than 1".to_owned()
    } else if share < 1.0 && rounded == 100 {
        "more than 99".to_owned()
    } else {
        rounded.to_string()
    };
    format!("{number} of 100")
}

/// A reading grade. Short words in short sentences come out below any school's.
pub(super) fn grade(grade: f64) -> String {
    if grade < 1.0 { "below grade 1".to_owned() } else { format!("grade {grade:.1}") }
}

/// What a part is called.
pub(super) fn name(part: Part, format: Format) -> &'static str {
    let is_both = format == Format::BothAtOnce;
    match part {
        Part::Before => "Before lighting",
        Part::Lit if is_both => "From lighting both rooms",
        Part::Lit => "From lighting room A",
        Part::Alarm if is_both => "At the smoke alarm",
        Part::Alarm => "At room A's smoke alarm",
        Part::Flashover => "At flashover",
        Part::Between => "Between the two fires",
        Part::LitB => "From lighting room B",
        Part::AlarmB => "At room B's smoke alarm",
        Part::Sprinkler => "When the sprinkler opens",
        Part::After => "After the fire is out",
        Part::AlarmEarly => "If the alarm is early",
        Part::AlarmLate => "If the alarm is late",
        Part::AlarmNever => "If the alarm never sounds",
        Part::SprinklerEarly => "If the sprinkler is early",
        Part::SprinklerLate => "If the sprinkler is late",
        Part::SprinklerNever => "If the sprinkler never opens",
        Part::FlashoverEarly => "If flashover is early",
        Part::FlashoverLate => "If flashover is late",
        Part::FlashoverNever => "If flashover never comes",
        Part::Stopped => "If the burn is stopped",
    }
}

/// "when both rooms burn at once".
pub(super) const fn burning(format: Format) -> &'static str {
    match format {
        Format::OneAtATime => "when the rooms burn one at a time",
        Format::BothAtOnce => "when both rooms burn at once",
    }
}

pub(super) fn mark(mark: Mark) -> &'static str {
    match mark {
        Mark::Alarm => "the alarm",
        Mark::Sprinkler => "the sprinkler",
        Mark::Flashover => "flashover",
        Mark::Attack => "the crew's water",
    }
}

/// The key moment and which side of its usual times a branch is for.
pub(super) fn turn(part: Part) -> Option<(Mark, &'static str)> {
    Some(match part {
        Part::AlarmEarly => (Mark::Alarm, "early"),
        Part::AlarmLate => (Mark::Alarm, "late"),
        Part::AlarmNever => (Mark::Alarm, "never"),
        Part::SprinklerEarly => (Mark::Sprinkler, "early"),
        Part::SprinklerLate => (Mark::Sprinkler, "late"),
        Part::SprinklerNever => (Mark::Sprinkler, "never"),
        Part::FlashoverEarly => (Mark::Flashover, "early"),
        Part::FlashoverLate => (Mark::Flashover, "late"),
        Part::FlashoverNever => (Mark::Flashover, "never"),
        _ => return None,
    })
}

/// When a branch is used, by the plan's fires.
fn when(snapshot: &TalkSnapshot, part: Part) -> String {
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

/// A line on the page.
pub(super) struct ShownLine {
    pub number: usize,
    pub id: i64,
    pub words: String,
    pub audience: Audience,
    /// "24 words · 14 s · crowd looks at room A · grade 2.1".
    pub facts: String,
    /// What the presenter needs of that: "crowd looks at room A · 14 s".
    pub cue: String,
    /// "fits", "cut", or empty where no clock runs.
    pub state: &'static str,
    /// "Fits in 96 of 100 fires".
    pub says: String,
    pub hints: Vec<String>,
    /// The lines above and below it in its part.
    pub above: Option<i64>,
    pub below: Option<i64>,
}

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

fn takes(seconds: f64) -> String {
    if seconds > 0.0 { format!("Takes {}.", lasts(seconds)) } else { String::new() }
}

/// What a part before or after a fire has time for.
fn around(snapshot: &TalkSnapshot, part: Part) -> (String, bool) {
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
fn budget(snapshot: &TalkSnapshot, section: &Section) -> (String, bool) {
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

fn silence(section: &Section) -> String {
    let Some(silence) = section.silence.filter(|silence| silence.half >= LONG_SILENCE) else { return String::new() };
    format!(
        "Then nothing is said for {} or more in half of the fires in which {} comes, and for more than {} in 1 of 10.",
        lasts(silence.half),
        section.ended_by.map_or("the next key moment", mark),
        lasts(silence.most)
    )
}

/// Where to look, who speaks, and how long: "crowd looks at room A · burn boss · 14 s". Where one
/// person says everything, their name on each line says nothing.
pub(super) fn cue(snapshot: &TalkSnapshot, timed: &TimedLine) -> String {
    let line = &timed.line;
    let others = snapshot.lines.iter().map(|other| &other.line.speaker).filter(|speaker| !speaker.is_empty());
    let is_known = others.into_iter().all(|speaker| *speaker == line.speaker);
    let parts = [
        if line.looks == Looks::Anywhere { String::new() } else { format!("crowd looks at {}", line.looks) },
        if is_known { String::new() } else { line.speaker.clone() },
        lasts(timed.seconds),
    ];
    parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" · ")
}

fn line_of(snapshot: &TalkSnapshot, at: usize, timed: &TimedLine) -> ShownLine {
    let (line, checked) = (&timed.line, &timed.checked);
    let grade = checked.grade.map(grade);
    let place = snapshot.objectives.iter().position(|one| Some(one.id) == line.objective);
    let facts = [
        Some(words::count(checked.words as usize, "word", "words")),
        Some(cue(snapshot, timed)),
        grade,
        place.map(|place| format!("teaches objective {}", place + 1)),
    ];
    let fit = &snapshot.fitted.lines[at];
    let (state, says) =
        if line.part.burn(snapshot.is_both()).is_some() { fits(snapshot, fit) } else { ("", String::new()) };
    ShownLine {
        number: at + 1,
        id: line.id,
        words: line.words.clone(),
        audience: line.audience,
        facts: facts.into_iter().flatten().collect::<Vec<_>>().join(" · "),
        cue: cue(snapshot, timed),
        state,
        says,
        hints: hints(timed),
        above: None,
        below: None,
    }
}

/// Whether a line fits, and in how many fires.
fn fits(snapshot: &TalkSnapshot, fit: &LineFit) -> (&'static str, String) {
    if snapshot.fires().is_none() {
        return ("", String::new());
    }
    let Some(full) = fit.share() else { return ("unknown", "Never spoken: its moment doesn't come".to_owned()) };
    let fires =
        if fit.comes < snapshot.fires().map_or(0, |fires| fires.times.len()) { "of these fires" } else { "fires" };
    if fit.fits() {
        return ("fits", format!("Fits in {} {fires}", of_hundred(full)));
    }
    let cut = share(fit.cut, fit.comes);
    let by = fit.cut_by.map_or("", mark);
    let left = 1.0 - full - cut;
    let cut = if cut > 0.0 { format!("cut off by {by} in {}", of_hundred(cut)) } else { String::new() };
    let unsaid = if left > 0.005 { format!("not begun in {}", of_hundred(left)) } else { String::new() };
    let why: Vec<String> = [cut, unsaid].into_iter().filter(|text| !text.is_empty()).collect();
    ("cut", format!("Fits in {} {fires}: {}", of_hundred(full), why.join(", ")))
}

/// What to say differently.
fn hints(timed: &TimedLine) -> Vec<String> {
    let (line, checked) = (&timed.line, &timed.checked);
    let is_meant = |found: &&Found| found.kind != Concern::Frightening || line.audience != Audience::Adults;
    let mut all: Vec<String> = checked.found.iter().filter(is_meant).map(hint).collect();
    if let Some(limit) = line.audience.sentence_limit().filter(|limit| checked.longest_sentence > *limit) {
        all.push(format!("A sentence of {} words. For children, {limit} at most.", checked.longest_sentence));
    }
    all
}

pub(super) fn hint(found: &Found) -> String {
    match found.kind {
        Concern::Jargon => format!("Instead of “{}”, say “{}”.", found.said, found.instead),
        Concern::Frightening => format!("“{}” frightens children: {}.", found.said, found.instead),
        Concern::Promise => format!("“{}” promises more than anyone can: {}.", found.said, found.instead),
    }
}
