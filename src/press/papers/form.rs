//! The form in which a release is written.

use super::paper::Paper;
use super::paper_facts::PaperFacts;
use super::text::Draft;
use crate::web::conflict::Conflict;
use crate::web::form::{self, Mistakes};
use crate::web::words;
use serde::Deserialize;
use time::{Date, Time};

#[derive(Debug, Clone, Deserialize, Default)]
#[serde(default)]
pub(super) struct PaperForm {
    pub headline: String,
    pub text: String,
    pub embargo_on: String,
    pub embargo_at: String,
    pub version: i64,
}

impl PaperForm {
    pub fn of(draft: &Draft, version: i64) -> Self {
        let part = |part: fn((Date, Time)) -> String| draft.embargo.map(part).unwrap_or_default();
        Self {
            headline: draft.headline.clone(),
            text: draft.text.clone(),
            embargo_on: part(|(on, _)| words::iso(on)),
            embargo_at: part(|(_, at)| words::iso_time(at)),
            version,
        }
    }

    pub fn read(&self, facts: &PaperFacts) -> Result<Draft, Mistakes> {
        let mut mistakes = Mistakes::default();
        let headline = mistakes.note("headline", form::line(&self.headline, 150));
        let text = mistakes.note("text", form::paragraph(&self.text, 6_000));
        if text.as_deref() == Some("") {
            mistakes.add("text", "This can't be empty.");
        }
        for (field, typed) in [("headline", &headline), ("text", &text)] {
            if let Some(mistake) = typed.as_ref().and_then(|typed| facts.mistake_in(typed)) {
                mistakes.add(field, mistake);
            }
        }
        let embargo = if self.embargo_on.trim().is_empty() && self.embargo_at.trim().is_empty() {
            None
        } else {
            let on = mistakes.note("embargo_on", form::day(&self.embargo_on));
            let at = mistakes.note("embargo_on", form::time_of_day(&self.embargo_at));
            on.zip(at)
        };
        match (headline, text, mistakes.is_empty()) {
            (Some(headline), Some(text), true) => Ok(Draft { headline, text, embargo }),
            _ => Err(mistakes),
        }
    }

    /// What someone else saved meanwhile, beside what was typed here.
    pub fn conflict(&self, theirs: &Paper) -> Conflict {
        let saved = Self::of(&theirs.draft, theirs.version);
        let mut conflict = Conflict::new(theirs.kind.label(), theirs.href(), theirs.version);
        conflict.field("headline", "Headline", &saved.headline, &self.headline);
        conflict.field("text", "Text", &saved.text, &self.text);
        conflict.field("embargo_on", "Embargo date", &saved.embargo_on, &self.embargo_on);
        conflict.field("embargo_at", "Embargo time", &saved.embargo_at, &self.embargo_at);
        conflict
    }
}
