//! What to mend in the talk, and where.

use super::OBJECTIVES;
use super::says::{LONG_SILENCE, burning, hint, is_unused, lasts, mark, name, of_hundred, share};
use super::snapshot::{TalkSnapshot, TimedLine};
use crate::calc::talk::{Audience, Concern, Fitted, Mark, Part};
use crate::fire::Fires;
use crate::web::words::{self, capital};

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

/// Everything to mend, worst first.
pub(super) fn mends(snapshot: &TalkSnapshot) -> Vec<Mend> {
    let mut all = timing(snapshot);
    all.extend(lesson(snapshot));
    all.extend(wording(snapshot));
    all.sort_by_key(|mend| mend.grade != "wrong");
    all
}

fn quoted(timed: &TimedLine) -> String {
    const MOST: usize = 50;
    let begins: String = timed.line.words.chars().take(MOST).collect();
    let more = if timed.line.words.chars().count() > MOST { "…" } else { "" };
    format!("“{}{more}”", begins.trim_end())
}

fn at(timed: &TimedLine) -> String {
    format!("#line-{}", timed.line.id)
}

fn timing(snapshot: &TalkSnapshot) -> Vec<Mend> {
    let mut all = Vec::new();
    let over = snapshot.seconds(Part::Before) - snapshot.before_ignition();
    if over > 0.5 && snapshot.seconds(Part::Before) > 0.0 {
        all.push(Mend {
            grade: "wrong",
            what: "before",
            title: format!("Before lighting, the talk is {} too long", lasts(over)),
            beneath: "It begins when the program ends. Shorten either, or start the fire later.".to_owned(),
            href: "#part-before".to_owned(),
        });
    }
    let Fitted { lines, sections } = &snapshot.fitted;
    for (timed, fit) in snapshot.lines.iter().zip(lines).filter(|(_, fit)| fit.comes > 0 && !fit.fits()) {
        let by = fit.cut_by.map_or("the next key moment", mark);
        all.push(Mend {
            grade: "wrong",
            what: "cut",
            title: format!("{} may be cut off", quoted(timed)),
            beneath: format!(
                "You finish it before {by} in {} of the fires in which its moment comes. Shorten it or what comes before \
                 it, or move it.",
                of_hundred(fit.share().unwrap_or_default())
            ),
            href: at(timed),
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
            beneath: "That long or longer in half of the fires in which it comes. Have more lines ready, and say where to look.".to_owned(),
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
    if let Some(unused) = Part::ALL.into_iter().find(|part| is_unused(snapshot, *part)) {
        all.push(Mend {
            grade: "look",
            what: "unused",
            title: format!("Some lines have no place {}", burning(snapshot.event.details.format)),
            beneath:
                "They are kept, and not spoken. Read the other lines again, too: they may speak of the other order."
                    .to_owned(),
            href: format!("#unused-{}", unused.as_str()),
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
            title: format!("{what} in {} simulated fires", of_hundred(share(never, times.len()))),
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
