//! The form for the program.

use super::parts::{Gives, Part, Program, ProgramItem};
use crate::guests::form::{as_minutes, minutes};
use crate::web::form::{self, Mistakes};
use serde::Deserialize;

/// Empty lines at the end of the form, for new parts.
const SPARE: usize = 2;

/// The form, with one field value per part.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub(super) struct ProgramForm {
    pub begins: String,
    pub minutes: String,
    pub number: Vec<String>,
    pub kind: Vec<String>,
    pub title: Vec<String>,
    pub who: Vec<String>,
    pub lasts: Vec<String>,
    pub gives: Vec<String>,
    pub least: Vec<String>,
    pub priority: Vec<String>,
    pub version: i64,
}

pub(super) struct PartLine {
    pub number: String,
    pub kind: String,
    pub title: String,
    pub who: String,
    pub lasts: String,
    pub gives: String,
    pub least: String,
    pub priority: String,
}

impl ProgramForm {
    pub fn of(program: &Program) -> Self {
        let mut form = Self {
            begins: program.begins.to_string(),
            minutes: program.minutes.to_string(),
            version: program.version,
            ..Self::default()
        };
        let spare = ProgramItem {
            kind: Part::Words,
            title: String::new(),
            who: String::new(),
            seconds: 60,
            gives: Gives::Either,
            least: 30,
            priority: 3,
        };
        let spare = std::iter::repeat_n(&spare, SPARE);
        for (number, item) in (1..).zip(program.items.iter().chain(spare)) {
            form.number.push(if item.title.is_empty() { String::new() } else { number.to_string() });
            form.kind.push(item.kind.to_string());
            form.title.push(item.title.clone());
            form.who.push(item.who.clone());
            form.lasts.push(as_minutes(item.seconds));
            form.gives.push(item.gives.to_string());
            form.least.push(as_minutes(item.least));
            form.priority.push(item.priority.to_string());
        }
        form
    }

    pub fn lines(&self) -> Vec<PartLine> {
        let at = |list: &[String], place: usize| list.get(place).cloned().unwrap_or_default();
        let line = |place| PartLine {
            number: at(&self.number, place),
            kind: at(&self.kind, place),
            title: at(&self.title, place),
            who: at(&self.who, place),
            lasts: at(&self.lasts, place),
            gives: at(&self.gives, place),
            least: at(&self.least, place),
            priority: at(&self.priority, place),
        };
        (0..self.title.len()).map(line).collect()
    }

    pub fn read(&self) -> Result<Program, Mistakes> {
        let mut mistakes = Mistakes::default();
        let begins = mistakes.note("begins", form::number(&self.begins, 1u32, 240));
        let whole = mistakes.note("minutes", form::number(&self.minutes, 1u32, 240));
        if begins.zip(whole).is_some_and(|(begins, minutes)| minutes > begins) {
            mistakes.add("minutes", "This runs past ignition. Start earlier or make it shorter.");
        }
        let mut items = Vec::new();
        for line in self.lines() {
            let Some(title) = mistakes.note("part", form::optional_line(&line.title, 100)) else { continue };
            if title.is_empty() {
                continue;
            }
            let number = if line.number.trim().is_empty() { Ok(u32::MAX) } else { form::number(&line.number, 1, 99) };
            let number = mistakes.note("part", number);
            let kind = mistakes.note("part", line.kind.parse::<Part>());
            let who = mistakes.note("part", form::optional_line(&line.who, 100));
            let times = mistakes.note("part", minutes(&line.lasts)).zip(mistakes.note("part", minutes(&line.least)));
            let gives = mistakes.note("part", line.gives.parse::<Gives>());
            let priority = mistakes.note("part", form::number(&line.priority, 1u8, 9));
            let rest = gives.zip(priority).zip(times);
            if let (Some(number), Some(kind), Some(who), Some(((gives, priority), (seconds, least)))) =
                (number, kind, who, rest)
            {
                items.push((number, ProgramItem { kind, title, who, seconds, gives, least, priority }));
            }
        }
        if items.is_empty() {
            mistakes.add("part", "Enter at least one part.");
        }
        items.sort_by_key(|(number, _)| *number);
        match (begins, whole, mistakes.is_empty()) {
            (Some(begins), Some(minutes), true) => {
                let items = items.into_iter().map(|(_, item)| item).collect();
                Ok(Program { begins, minutes, items, version: self.version })
            }
            _ => Err(mistakes),
        }
    }
}
