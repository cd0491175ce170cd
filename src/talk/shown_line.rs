//! A line, as pages show it.

use super::Looks;
use super::says::{grade, hint, lasts, mark, of_hundred, share};
use super::snapshot::{TalkSnapshot, TimedLine};
use crate::calc::talk::{Audience, Concern, Found, LineFit};
use crate::web::words;

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

pub(super) fn line_of(snapshot: &TalkSnapshot, at: usize, timed: &TimedLine) -> ShownLine {
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
