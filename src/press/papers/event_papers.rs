//! All releases of an event with the facts they refer to, read at once.

use super::changes::Change;
use super::paper::Paper;
use super::paper_facts::PaperFacts;
use super::store;
use super::version::Version;
use crate::db::Tx;
use crate::error::Result;
use crate::events::{self, Event};
use crate::press::facts;
use time::OffsetDateTime;

/// As they are in the write that rests on them.
pub(super) struct EventPapers {
    pub event: Event,
    pub facts: PaperFacts,
    pub papers: Vec<Paper>,
}

impl EventPapers {
    /// None if there is no such event.
    pub async fn load(tx: &mut Tx, event_id: i64, department: &str, now: OffsetDateTime) -> Result<Option<Self>> {
        let Some(event) = events::find_in(tx, event_id).await? else { return Ok(None) };
        let known = facts::of_event(tx, event_id).await?;
        let facts = PaperFacts::of(&event.details, department, &known, now);
        let papers = store::of_event(tx, event_id).await?;
        Ok(Some(Self { event, facts, papers }))
    }

    pub fn paper(&self, id: i64) -> Option<&Paper> {
        self.papers.iter().find(|paper| paper.id == id)
    }

    /// Is a version the newest of its release, and does it still say what is true?
    pub fn is_true(&self, version: &Version) -> bool {
        let newest = self.paper(version.paper_id).and_then(Paper::newest);
        newest.is_some_and(|newest| newest.id == version.id)
            && version.changes(&self.event, &self.facts).is_empty()
            && version.wrong(&self.facts).is_empty()
    }

    /// What has changed since a version, by its number in the store.
    pub fn changes_since(&self, version_id: i64) -> Vec<Change> {
        let version = self.papers.iter().flat_map(|paper| &paper.versions).find(|version| version.id == version_id);
        version.map(|version| version.changes(&self.event, &self.facts)).unwrap_or_default()
    }
}
