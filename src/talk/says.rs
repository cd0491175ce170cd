//! The talk in words: what each part is called, what fits, and what to mend.

use super::{Looks, OBJECTIVES};
use super::snapshot::{TalkSnapshot, Told};
use crate::calc::talk::{Audience, Fitted, LineFit, Mark, Part, Section};
use crate::calc::talk::{Concern, Found};
use crate::events::Format;
use crate::fire::Fires;
use crate::web::words::{self, capital};

/// Silence longer than this is named, s: common practice, no source.
const LONG_SILENCE: f64 = 45.0;

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
    let count = snapshot.fires().map_or(1, |fires| fires.times.len().max(1));
    match side {
        "early" => format!("Before {}: 1 in 10 simulated fires.", clock(turns.early)),
        "late" => format!("Not by {}: 1 in 10 of the simulated fires in which it comes.", clock(turns.late)),
        _ => {
            let share = f64::from(u32::try_from(turns.never).unwrap_or(u32::MAX)) / count as f64;
            format!("Not by {}. It never comes in {} simulated fires.", clock(turns.gone), of_hundred(share))
        }
    }
}

/// A line on the page.
pub(super) struct ShownLine {
    pub number: usize,
    pub id: i64,
    pub words: String,
    pub audience: Audience,
    /// "24 words · 14 s · look at room A · grade 2.1".
    pub facts: String,
    /// What the presenter needs of that: "look at room A · 14 s".
    pub cue: String,
    /// "fits", "cut", or empty where no clock runs.
    pub state: &'static str,
    /// "Fits in 96 of 100 fires".
    pub says: String,
    pub hints: Vec<String>,
    pub is_first: bool,
    pub is_last: bool,
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

/// Something to mend, and where.
pub(super) struct Mend {
    /// "wrong" or "look".
    pub grade: &'static str,
    /// For tests.
    pub what: &'static str,
    pub title: String,
    pub beneath: String,
    pub href: String,
}

/// The parts of the talk in this format, and then those for when something goes differently.
pub(super) fn parts(snapshot: &TalkSnapshot) -> (Vec<ShownPart>, Vec<ShownPart>) {
    let of = |parts: &[Part]| parts.iter().map(|part| part_of(snapshot, *part)).collect::<Vec<_>>();
    let mut main = of(Part::sequence(snapshot.is_both()));
    // Lines that the other format had stay where they can be seen.
    let unused = Part::ALL.into_iter().filter(|part| is_unused(snapshot, *part));
    main.extend(unused.map(|part| ShownPart {
        budget: format!("Not spoken when the rooms burn {}. Move these lines to another part, or remove them.", {
            snapshot.event.details.format
        }),
        state: "unused",
        ..part_of(snapshot, part)
    }));
    (main, of(&Part::BRANCHES))
}

/// Does a part have lines, and no place in this format?
fn is_unused(snapshot: &TalkSnapshot, part: Part) -> bool {
    let has_place = part.is_branch() || Part::sequence(snapshot.is_both()).contains(&part);
    !has_place && snapshot.of_part(part).next().is_some()
}

fn part_of(snapshot: &TalkSnapshot, part: Part) -> ShownPart {
    let section = snapshot.fitted.sections.iter().find(|section| section.part == part);
    let mut lines: Vec<ShownLine> = snapshot.of_part(part).map(|(at, told)| line_of(snapshot, at, told)).collect();
    if let Some(first) = lines.first_mut() {
        first.is_first = true;
    }
    if let Some(last) = lines.last_mut() {
        last.is_last = true;
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
        silence: section.map(|section| silence(section)).unwrap_or_default(),
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
    let leaves = format!(
        "The program and {} for the search and the go/no-go poll leave {}.",
        lasts(f64::from(snapshot.settings.clear) * 60.0),
        lasts(has)
    );
    let fits = if over > 0.5 {
        format!("These lines take {}: {} too long.", lasts(wanted), lasts(over))
    } else {
        format!("These lines take {}.", lasts(wanted))
    };
    (format!("{leaves} {fits}"), over > 0.5)
}

/// What the fires leave for a part of a burn.
fn budget(snapshot: &TalkSnapshot, section: &Section) -> (String, bool) {
    let count = snapshot.fires().map_or(0, |fires| fires.times.len());
    if section.comes == 0 {
        return ("This doesn't happen in any simulated fire.".to_owned(), false);
    }
    let comes = if section.comes < count {
        format!("Comes in {} simulated fires. ", of_hundred(section.comes as f64 / count as f64))
    } else {
        String::new()
    };
    let Some(leaves) = section.leaves else {
        return (format!("{comes}In most simulated fires, no key moment follows. {}", takes(section.wanted)), false);
    };
    let ends = section.ended_by.map(|by| format!(" until {}", mark(by))).unwrap_or_default();
    let words = snapshot.settings.pace.words(leaves, Audience::All);
    let has = format!(
        "{comes}9 in 10{} leave at least {}{ends}, about {}.",
        if comes.is_empty() { " simulated fires" } else { " of them" },
        lasts(leaves),
        words::count(words as usize, "word", "words")
    );
    let over = section.wanted - leaves;
    if section.wanted <= 0.0 {
        (has, false)
    } else if over > 0.0 {
        (format!("{has} Your lines take {}: {} too long.", lasts(section.wanted), lasts(over.max(1.0))), true)
    } else {
        (format!("{has} Your lines take {}.", lasts(section.wanted)), false)
    }
}

fn silence(section: &Section) -> String {
    let Some(silence) = section.silence.filter(|silence| silence.half >= LONG_SILENCE) else { return String::new() };
    format!(
        "Then nothing is said for {} in half of the fires, and for more than {} in one of ten.",
        lasts(silence.half),
        lasts(silence.most)
    )
}

/// Where to look, who speaks, and how long: "look at room A · burn boss · 14 s". Where one
/// person says everything, their name on each line says nothing.
pub(super) fn cue(snapshot: &TalkSnapshot, told: &Told) -> String {
    let line = &told.line;
    let is_known = snapshot.lines.iter().all(|other| other.line.speaker == line.speaker);
    let parts = [
        if line.looks == Looks::Anywhere { String::new() } else { format!("look at {}", line.looks) },
        if is_known { String::new() } else { line.speaker.clone() },
        lasts(told.seconds),
    ];
    parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" · ")
}

fn line_of(snapshot: &TalkSnapshot, at: usize, told: &Told) -> ShownLine {
    let (line, checked) = (&told.line, &told.checked);
    let grade = checked.grade.map(grade);
    let place = snapshot.objectives.iter().position(|one| Some(one.id) == line.objective);
    let facts = [
        Some(words::count(checked.words as usize, "word", "words")),
        Some(cue(snapshot, told)),
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
        cue: cue(snapshot, told),
        state,
        says,
        hints: hints(told),
        is_first: false,
        is_last: false,
    }
}

/// Whether a line fits, and in how many fires.
fn fits(snapshot: &TalkSnapshot, fit: &LineFit) -> (&'static str, String) {
    if snapshot.fires().is_none() {
        return ("", String::new());
    }
    let Some(share) = fit.share() else { return ("unknown", "Never spoken: its moment doesn't come".to_owned()) };
    if fit.fits() {
        return ("fits", format!("Fits in {}", of_hundred(share)));
    }
    let cut = cut_share(fit);
    let by = fit.cut_by.map_or("", mark);
    let left = 1.0 - share - cut;
    let cut = if cut > 0.0 { format!("cut off by {by} in {}", of_hundred(cut)) } else { String::new() };
    let unsaid = if left > 0.005 { format!("not begun in {}", of_hundred(left)) } else { String::new() };
    let why: Vec<String> = [cut, unsaid].into_iter().filter(|text| !text.is_empty()).collect();
    ("cut", format!("Fits in {}: {}", of_hundred(share), why.join(", ")))
}

/// In which part of the fires in which its moment comes a line is cut off.
fn cut_share(fit: &LineFit) -> f64 {
    if fit.comes == 0 { 0.0 } else { fit.cut as f64 / fit.comes as f64 }
}

/// What to say differently.
fn hints(told: &Told) -> Vec<String> {
    let (line, checked) = (&told.line, &told.checked);
    let mut all: Vec<String> = checked.found.iter().map(hint).collect();
    if let Some(limit) = line.audience.sentence_limit().filter(|limit| checked.longest_sentence > *limit) {
        all.push(format!("A sentence of {} words. For children, {limit} at most.", checked.longest_sentence));
    }
    all
}

fn hint(found: &Found) -> String {
    match found.kind {
        Concern::Jargon => format!("Instead of “{}”, say “{}”.", found.said, found.instead),
        Concern::Frightening => format!("“{}” frightens children: {}.", found.said, found.instead),
        Concern::Promise => format!("“{}” promises more than anyone can: {}.", found.said, found.instead),
    }
}

/// Everything to mend, worst first.
pub(super) fn mends(snapshot: &TalkSnapshot) -> Vec<Mend> {
    let mut all = timing(snapshot);
    all.extend(lesson(snapshot));
    all.extend(wording(snapshot));
    all.sort_by_key(|mend| mend.grade != "wrong");
    all
}

fn quoted(told: &Told) -> String {
    const MOST: usize = 50;
    let begins: String = told.line.words.chars().take(MOST).collect();
    let more = if told.line.words.chars().count() > MOST { "…" } else { "" };
    format!("“{}{more}”", begins.trim_end())
}

fn at(told: &Told) -> String {
    format!("#line-{}", told.line.id)
}

fn timing(snapshot: &TalkSnapshot) -> Vec<Mend> {
    let mut all = Vec::new();
    let over = snapshot.seconds(Part::Before) - snapshot.before_ignition();
    if over > 0.5 {
        all.push(Mend {
            grade: "wrong",
            what: "before",
            title: format!("Before lighting, the talk is {} too long", lasts(over)),
            beneath: "It begins when the program ends. Shorten either, or start the fire later.".to_owned(),
            href: "#part-before".to_owned(),
        });
    }
    let Fitted { lines, sections } = &snapshot.fitted;
    for (told, fit) in snapshot.lines.iter().zip(lines).filter(|(_, fit)| fit.comes > 0 && !fit.fits()) {
        let by = fit.cut_by.map_or("the next key moment", mark);
        all.push(Mend {
            grade: "wrong",
            what: "cut",
            title: format!("{} will probably not be heard to the end", quoted(told)),
            beneath: format!(
                "It is done before {by} in {} simulated fires. Shorten what comes before it, or move it.",
                of_hundred(fit.share().unwrap_or_default())
            ),
            href: at(told),
        });
    }
    let longest = sections.iter().filter_map(|section| Some((section, section.silence?.half)));
    if let Some((section, half)) =
        longest.max_by(|one, other| one.1.total_cmp(&other.1)).filter(|(_, half)| *half >= LONG_SILENCE)
    {
        let by = section.ended_by.map_or("the next key moment", mark);
        all.push(Mend {
            grade: "look",
            what: "silence",
            title: format!("Longest silence: {} before {by}", lasts(half)),
            beneath: "That long in half of the fires. Have lines ready, and say where to look.".to_owned(),
            href: format!("#part-{}", section.part),
        });
    }
    let missing: Vec<String> = Part::BRANCHES
        .into_iter()
        .filter(|part| snapshot.of_part(*part).next().is_none())
        .map(|part| name(part, snapshot.event.details.format).trim_start_matches("If ").to_owned())
        .collect();
    if !missing.is_empty() && !snapshot.lines.is_empty() {
        all.push(Mend {
            grade: "look",
            what: "branches",
            title: format!("Nothing to say in {}", words::count(missing.len(), "case", "cases")),
            beneath: format!("{}.", capital(&missing.join("; "))),
            href: "#branches".to_owned(),
        });
    }
    if Part::ALL.into_iter().any(|part| is_unused(snapshot, part)) {
        all.push(Mend {
            grade: "look",
            what: "unused",
            title: format!("Some lines have no place when the rooms burn {}", snapshot.event.details.format),
            beneath: "They are kept, and not spoken.".to_owned(),
            href: "#unused".to_owned(),
        });
    }
    all.extend(nevers(snapshot));
    all
}

/// Key moments that don't come in many of the plan's fires.
fn nevers(snapshot: &TalkSnapshot) -> Vec<Mend> {
    let Some(Fires { times, until, .. }) = snapshot.fires() else { return Vec::new() };
    let moments = [
        (Mark::Alarm, "The alarm doesn't sound", Part::AlarmNever),
        (Mark::Sprinkler, "The sprinkler doesn't open", Part::SprinklerNever),
        (Mark::Flashover, "Flashover doesn't come", Part::FlashoverNever),
    ];
    let never = |(moment, what, part): (Mark, &str, Part)| {
        let never = snapshot.turns(moment).map_or(times.len(), |turns| turns.never);
        let is_all = never == times.len();
        (never * 10 >= times.len()).then(|| Mend {
            grade: if is_all { "wrong" } else { "look" },
            what: if is_all { "always never" } else { "never" },
            title: format!("{what} in {} simulated fires", of_hundred(never as f64 / times.len() as f64)),
            beneath: format!(
                "Not within {} of lighting. Talk to the burn boss about the plan, and practice what you say then.",
                lasts(*until)
            ),
            href: format!("#part-{part}"),
        })
    };
    moments.into_iter().filter_map(never).collect()
}

fn lesson(snapshot: &TalkSnapshot) -> Vec<Mend> {
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

/// What is said and should be said differently.
fn wording(snapshot: &TalkSnapshot) -> Vec<Mend> {
    let mut all = Vec::new();
    for told in &snapshot.lines {
        for found in &told.checked.found {
            let is_promise = found.kind == Concern::Promise;
            let (what, problem) = match found.kind {
                Concern::Jargon => ("jargon", "is jargon"),
                Concern::Frightening if told.line.audience == Audience::Adults => continue,
                Concern::Frightening => ("frightening", "frightens children"),
                Concern::Promise => ("promise", "promises more than anyone can"),
            };
            all.push(Mend {
                grade: if is_promise { "wrong" } else { "look" },
                what,
                title: format!("“{}” {problem}", found.said),
                beneath: capital(&hint(found)),
                href: at(told),
            });
        }
        if let Some(limit) = told.line.audience.sentence_limit().filter(|limit| told.checked.longest_sentence > *limit)
        {
            all.push(Mend {
                grade: "look",
                what: "sentence",
                title: format!("A sentence of {} words for children", told.checked.longest_sentence),
                beneath: format!("{}: {limit} at most.", quoted(told)),
                href: at(told),
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
