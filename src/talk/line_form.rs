//! A line as it is typed.

use super::{Looks, Objective, TalkLine};
use crate::calc::talk::{Audience, Part};
use crate::error::Result;
use crate::web::form::{self, Mistakes};
use serde::Deserialize;

/// A line is at most so many characters long: about two minutes.
const MOST_LETTERS: usize = 1_500;

/// A line as it is typed.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, Default)]
#[serde(default)]
pub(super) struct LineForm {
    pub part: String,
    pub audience: String,
    pub words: String,
    pub speaker: String,
    pub looks: String,
    pub objective: String,
}

pub(super) type Field = (&'static str, &'static str, fn(&LineForm) -> &String);

pub(super) const FIELDS: [Field; 6] = [
    ("words", "Words", |form| &form.words),
    ("part", "When", |form| &form.part),
    ("audience", "For", |form| &form.audience),
    ("speaker", "Who says it", |form| &form.speaker),
    ("looks", "Where the crowd looks", |form| &form.looks),
    ("objective", "What it teaches", |form| &form.objective),
];

impl LineForm {
    pub fn of(line: &TalkLine) -> Self {
        Self {
            part: line.part.to_string(),
            audience: line.audience.to_string(),
            words: line.words.clone(),
            speaker: line.speaker.clone(),
            looks: line.looks.to_string(),
            objective: line.objective.map(|id| id.to_string()).unwrap_or_default(),
        }
    }

    pub fn read(&self, (id, version): (i64, i64), objectives: &[Objective]) -> Result<TalkLine, Mistakes> {
        let mut wrong = Mistakes::default();
        let part = wrong.note("part", self.part.parse::<Part>());
        let audience = wrong.note("audience", self.audience.parse::<Audience>());
        let words = wrong.note("words", form::paragraph(&self.words, MOST_LETTERS)).unwrap_or_default();
        if words.is_empty() && wrong.of("words").is_empty() {
            wrong.add("words", "Type what is said.");
        }
        let speaker = wrong.note("speaker", form::optional_line(&self.speaker, 60));
        let looks = wrong.note("looks", self.looks.parse::<Looks>());
        let known = |id: i64| objectives.iter().any(|one| one.id == id);
        let objective = if self.objective.is_empty() {
            Some(None)
        } else if let Some(id) = self.objective.parse().ok().filter(|id| known(*id)) {
            Some(Some(id))
        } else {
            wrong.add("objective", "Choose an objective of the lesson plan. Someone may have removed this one.");
            None
        };
        match (part.zip(audience), speaker.zip(looks).zip(objective), wrong.is_empty()) {
            (Some((part, audience)), Some(((speaker, looks), objective)), true) => {
                Ok(TalkLine { id, part, audience, speaker, looks, words, objective, version })
            }
            _ => Err(wrong),
        }
    }
}
