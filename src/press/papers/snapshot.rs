//! A release with its event and the facts it refers to, read at once.

use super::changes::Change;
use super::check::{Check, check};
use super::filled::Filled;
use super::paper::Paper;
use super::paper_facts::PaperFacts;
use super::store;
use crate::accounts;
use crate::error::{Error, Result};
use crate::events::Event;
use crate::press::editor::event;
use crate::press::facts;
use crate::state::App;

/// What a release can say about an event.
pub(in crate::press) async fn known(app: &App, event: &Event) -> Result<PaperFacts> {
    let department = accounts::department(app.db.read()).await?.unwrap_or_default().name;
    let facts = facts::of_event(&mut *app.db.read().acquire().await?, event.id).await?;
    Ok(PaperFacts::of(&event.details, &department, &facts, app.clock.now()))
}

/// A release of an event.
#[derive(Clone)]
pub(super) struct PaperSnapshot {
    pub event: Event,
    pub facts: PaperFacts,
    pub paper: Paper,
}

impl PaperSnapshot {
    pub async fn load(app: &App, event_id: i64, id: i64) -> Result<Self> {
        let event = event(app, event_id).await?;
        let facts = known(app, &event).await?;
        let paper = store::find(&mut *app.db.read().acquire().await?, event_id, id).await?;
        Ok(Self { event, facts, paper: paper.ok_or(Error::NotFound)? })
    }

    /// The address of its page.
    pub fn href(&self) -> String {
        self.paper.href()
    }

    pub fn check(&self) -> Check {
        check(self.paper.kind, &self.paper.draft, &self.facts)
    }

    /// As it would be sent now.
    pub fn filled(&self) -> Filled {
        Filled::of(&self.paper.draft, &self.event, &self.facts)
    }

    pub fn is_approved(&self) -> bool {
        self.paper.is_approved(&self.event, &self.facts)
    }

    /// What is out of date in the newest version.
    pub fn outdated(&self) -> Vec<Change> {
        self.paper.outdated(&self.event, &self.facts)
    }
}
