//! An objective as it is typed.

use super::Objective;
use crate::error::Result;
use crate::web::form::{self, Mistakes};
use serde::Deserialize;

/// An objective as it is typed.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, Default)]
#[serde(default)]
pub(super) struct ObjectiveForm {
    pub text: String,
    pub message: String,
    pub source: String,
    pub edition: String,
    pub item: String,
    pub is_for_press: String,
}

pub(super) type Field = (&'static str, &'static str, fn(&ObjectiveForm) -> &String);

pub(super) const FIELDS: [Field; 6] = [
    ("text", "Objective", |form| &form.text),
    ("message", "Message", |form| &form.message),
    ("source", "Source", |form| &form.source),
    ("edition", "Edition", |form| &form.edition),
    ("item", "Survey question", |form| &form.item),
    ("is_for_press", "For the press", |form| &form.is_for_press),
];

impl ObjectiveForm {
    pub fn of(objective: &Objective) -> Self {
        Self {
            text: objective.text.clone(),
            message: objective.message.clone(),
            source: objective.source.clone(),
            edition: objective.edition.clone(),
            item: objective.item.clone(),
            is_for_press: if objective.is_for_press { "yes".to_owned() } else { String::new() },
        }
    }

    pub fn read(&self, id: i64, version: i64) -> Result<Objective, Mistakes> {
        let mut wrong = Mistakes::default();
        let new = Objective {
            id,
            text: wrong.note("text", form::line(&self.text, 200)).unwrap_or_default(),
            message: wrong.note("message", form::line(&self.message, 200)).unwrap_or_default(),
            source: wrong.note("source", form::optional_line(&self.source, 200)).unwrap_or_default(),
            edition: wrong.note("edition", form::optional_line(&self.edition, 60)).unwrap_or_default(),
            item: wrong.note("item", form::optional_line(&self.item, 300)).unwrap_or_default(),
            is_for_press: !self.is_for_press.is_empty(),
            version,
        };
        if new.is_for_press && wrong.is_empty() {
            const MISSING: &str = "The press gets only messages with a source and its edition.";
            for (field, text) in [("source", &new.source), ("edition", &new.edition)] {
                if text.is_empty() {
                    wrong.add(field, MISSING);
                }
            }
        }
        if wrong.is_empty() { Ok(new) } else { Err(wrong) }
    }
}
