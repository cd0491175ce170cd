//! What the pages of gates have in common.

use super::decision::Decision;
use super::snapshot::GateSnapshot;
use crate::accounts::Visit;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::state::App;
use crate::web::page::Page;
use serde::Deserialize;

/// The caution on every page and every sheet about gates.
pub(super) const DECIDES: &str =
    "A screening list: the authority having jurisdiction, the department's rules, and the safety officer decide.";

/// Refuses whoever may not change gates.
pub(super) fn only_planners(visit: &Visit) -> Result<()> {
    if visit.user.plans_burn() {
        return Ok(());
    }
    Err(Error::Forbidden(
        "Only the education officer, the safety officer, and the burn boss can change gates. Ask one of them, or go back.",
    ))
}

/// Where the gates of an event are.
pub(super) fn href(event_id: i64) -> String {
    format!("/events/{event_id}/burn-day/gates")
}

/// A page below the list of gates.
pub(super) async fn page(app: &App, visit: &Visit, event: &Event, title: &str) -> Result<Page> {
    let page = events::page(app, visit, Some(event), app.clock.now()).await?.titled(title);
    Ok(page.under(href(event.id), "Gates"))
}

/// Which decision to look at; without one, the next.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct Wanted {
    #[serde(rename = "for")]
    decision: String,
}

impl Wanted {
    pub fn decision(&self, snapshot: &GateSnapshot) -> Decision {
        self.decision.parse().unwrap_or_else(|_| snapshot.times.next(&snapshot.event, snapshot.now))
    }
}
