//! A release or advisory while it is written, with its versions.

use super::changes::Change;
use super::embargo::is_embargo_in_words;
use super::kind::PaperKind;
use super::old_words;
use super::paper_facts::PaperFacts;
use super::text::Draft;
use super::version::Version;
use crate::events::Event;
use time::OffsetDateTime;

/// A release or advisory while it is written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::press) struct Paper {
    pub id: i64,
    pub event_id: i64,
    pub kind: PaperKind,
    pub draft: Draft,
    pub edited_by: i64,
    pub editor: String,
    pub editor_person: i64,
    pub edited_at: OffsetDateTime,
    pub version: i64,
    /// The newest first.
    pub versions: Vec<Version>,
}

impl Paper {
    /// The address of its page.
    pub fn href(&self) -> String {
        format!("/events/{}/press/releases/{}", self.event_id, self.id)
    }

    pub fn newest(&self) -> Option<&Version> {
        self.versions.first()
    }

    /// What is out of date in the newest version; nothing if nothing is, or if none is
    /// approved.
    pub fn outdated(&self, event: &Event, facts: &PaperFacts) -> Vec<Change> {
        self.newest().map(|version| version.changes(event, facts)).unwrap_or_default()
    }

    /// Is the text what was approved last, with today's facts? A version from before
    /// may write its dates in the old way.
    pub fn is_approved(&self, event: &Event, facts: &PaperFacts) -> bool {
        let Some(version) = self.newest() else { return false };
        let Draft { headline, text, embargo } = &self.draft;
        let is_same = match &version.made_from {
            Some(made) => (&made.headline, &made.text) == (headline, text),
            None => [facts.clone(), old_words::as_then(facts)].iter().any(|facts| {
                (version.headline.clone(), version.text.clone()) == (facts.fill(headline), facts.fill(text))
            }),
        };
        let is_held_alike = is_embargo_in_words(*embargo, &version.embargo, &event.details.zone);
        is_same && is_held_alike && version.changes(event, facts).is_empty()
    }
}
