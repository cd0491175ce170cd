//! What is still missing in a text, and which of its dates and times are not the
//! event's, before anyone may approve or send it.

mod line;
mod own_dates;
mod spoken;
mod used;

use self::line::Line;
use self::own_dates::OwnDates;
use self::spoken::{digits, open_places, phone_digits};
use super::dateline;
use super::kind::PaperKind;
use super::marks::PHONE;
use super::paper_facts::PaperFacts;
use super::text::Draft;

pub(super) use self::used::{of_old_places, used};

/// What is wrong with a text; nothing if it can go out.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(in crate::press) struct Check {
    /// What isn't in it yet: "burn day (Saturday, Oct. 9)".
    pub missing: Vec<String>,
    /// What it gets wrong: "WHEN: “Oct. 2” is not a date of this event".
    pub wrong: Vec<String>,
}

impl Check {
    pub fn is_clean(&self) -> bool {
        self.missing.is_empty() && self.wrong.is_empty()
    }

    /// All of it in one line.
    pub fn says(&self) -> String {
        let part = |name: &str, all: &[String]| (!all.is_empty()).then(|| format!("{name}: {}", all.join("; ")));
        let parts = [part("Missing", &self.missing), part("Wrong", &self.wrong)];
        parts.into_iter().flatten().collect::<Vec<_>>().join(". ")
    }
}

/// Is the text complete, and are its dates and times right?
pub(in crate::press) fn check(kind: PaperKind, draft: &Draft, facts: &PaperFacts) -> Check {
    let own = OwnDates::of(draft, facts);
    let mut check = Check { missing: open_places(&facts.fill(&draft.text)), wrong: Vec::new() };
    for (where_, text) in [("Headline", &draft.headline), ("Text", &draft.text)] {
        check.wrong.extend(facts.mistake_in(text).map(|what| format!("{where_}: {what}")));
    }
    let lines = lines_of(draft);
    for line in &lines {
        check.wrong.extend(own.wrong_in(kind, line));
    }
    check.missing.extend(missing_phone(draft, facts, &check.missing));
    if kind != PaperKind::AfterTheDay {
        check.missing.extend(own.absent(&lines));
    }
    check
}

/// The headline, and all lines of the text that aren't empty.
fn lines_of(draft: &Draft) -> Vec<Line<'_>> {
    let mut lines: Vec<Line<'_>> = draft.text.lines().filter(|line| !line.trim().is_empty()).map(Line::of).collect();
    let first = dateline::first_line(&draft.text);
    if let Some(line) = lines.iter_mut().find(|line| line.text.trim() == first) {
        line.is_first = true;
    }
    lines.insert(0, Line::headline(&draft.headline));
    lines
}

/// The contact's phone, if it isn't in the text and isn't among the open places.
fn missing_phone(draft: &Draft, facts: &PaperFacts, open: &[String]) -> Option<String> {
    let fact = facts.get(PHONE);
    let phone = fact.map(|fact| phone_digits(&fact.raw)).unwrap_or_default();
    if phone.is_empty() {
        let is_open = open.iter().any(|place| place == PHONE);
        return (!is_open).then(|| "contact phone: add it under Facts".to_owned());
    }
    let shown = fact.map(|fact| fact.shown.as_str()).unwrap_or_default();
    (!digits(&facts.fill(&draft.text)).contains(&phone)).then(|| format!("contact phone ({shown})"))
}

#[cfg(test)]
mod tests;
