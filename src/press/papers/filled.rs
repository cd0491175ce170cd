//! A text as it would be sent now.

use super::check;
use super::embargo::{embargo_says, hold_of};
use super::paper_facts::PaperFacts;
use super::text::Draft;
use super::version::MadeFrom;
use crate::events::Event;
use crate::web::link::hex;
use serde_json::json;
use sha2::{Digest, Sha256};

/// A text as it would be sent now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Filled {
    pub headline: String,
    pub text: String,
    pub embargo: String,
    pub made_from: MadeFrom,
    /// The end of the embargo, in no words.
    pub hold: String,
}

impl Filled {
    pub fn of(draft: &Draft, event: &Event, facts: &PaperFacts) -> Self {
        Self {
            headline: facts.fill(&draft.headline),
            text: facts.fill(&draft.text),
            embargo: embargo_says(draft.embargo, &event.details.zone),
            made_from: MadeFrom {
                headline: draft.headline.clone(),
                text: draft.text.clone(),
                facts: check::used(draft, facts),
            },
            hold: hold_of(draft.embargo, &event.details.zone),
        }
    }

    /// Tells this text from every other, so that nobody approves what they
    /// haven't read. Another way to write the same facts makes no other text.
    pub fn digest(&self) -> String {
        let MadeFrom { headline, text, facts } = &self.made_from;
        let whole = json!([headline, text, facts, self.hold]).to_string();
        hex(&Sha256::digest(whole.as_bytes())[..16])
    }

    /// Is it the text that was made from this? Only its marks and facts count: as days pass, a
    /// date is written without its year, and the fire is spoken of in the past.
    pub fn is_same(&self, was: &MadeFrom, hold: Option<&str>, facts: &PaperFacts) -> bool {
        (&was.headline, &was.text) == (&self.made_from.headline, &self.made_from.text)
            && hold == Some(self.hold.as_str())
            && facts.changes(&was.facts).is_empty()
    }
}
