//! What the page says of the whole talk.

use super::says;
use super::says::lasts;
use super::snapshot::TalkSnapshot;
use crate::calc::reading;
use crate::calc::talk::{Audience, Part};
use crate::web::words;

/// A grade for a group of people.
pub(super) struct Grade {
    pub who: &'static str,
    pub grade: String,
    pub limit: String,
    pub is_over: bool,
}

/// How long there is to talk, in a sentence or two.
pub(super) fn verdict(snapshot: &TalkSnapshot) -> Vec<String> {
    let mut all = Vec::new();
    let leaves = |part| snapshot.fitted.sections.iter().find(|one| one.part == part).and_then(|one| one.leaves);
    let (first, then) = if snapshot.is_both() {
        (Part::Lit, (Part::Alarm, "between the alarm and the sprinkler"))
    } else {
        (Part::Lit, (Part::AlarmB, "between the alarm and the sprinkler in room B"))
    };
    if let Some(seconds) = leaves(first) {
        all.push(format!(
            "In 9 of 10 simulated fires you have at least {} before the smoke alarm.",
            lasts(seconds.floor())
        ));
    }
    if let Some(seconds) = leaves(then.0) {
        let has = if seconds < 1.0 { "no time".to_owned() } else { format!("at least {}", lasts(seconds.floor())) };
        all.push(format!("In 9 of 10 you have {has} {}.", then.1));
    }
    let cut = snapshot.fitted.lines.iter().filter(|fit| fit.comes > 0 && !fit.fits()).count();
    if snapshot.fires().is_some() && !snapshot.lines.is_empty() {
        all.push(match cut {
            0 if snapshot.has_unspoken() => "Some lines are for moments that never come.".to_owned(),
            0 => "Every line fits.".to_owned(),
            cut => format!("{} may be cut off.", words::count(cut, "line", "lines")),
        });
    }
    all
}

pub(super) fn grades(snapshot: &TalkSnapshot) -> Vec<Grade> {
    let groups = [(Audience::Children, "Children"), (Audience::Adults, "Adults"), (Audience::All, "Everyone")];
    let grade = |(audience, who): (Audience, &'static str)| {
        let grade = snapshot.reading(|line| line.audience == audience).grade()?;
        let limit = audience.grade_limit();
        Some(Grade { who, grade: says::grade(grade), limit: format!("{limit}"), is_over: grade > limit })
    };
    groups.into_iter().filter_map(grade).collect()
}

/// The SMOG grade of the whole talk.
pub(super) fn smog(snapshot: &TalkSnapshot) -> String {
    let sentences = snapshot.reading(|_| true).sentences;
    let complex = snapshot.lines.iter().map(|timed| reading::complex_words(&timed.line.words)).sum();
    let Some(grade) = reading::smog(complex, sentences) else { return String::new() };
    let few = if sentences < reading::SMOG_SENTENCES { ", from fewer than 30 sentences: not certain" } else { "" };
    format!("{grade:.1}{few}")
}
