//! What the pages of the talk have in common.

use crate::accounts::Visit;
use crate::error::Result;
use crate::events::{self, Event};
use crate::state::App;
use crate::web::page::Page;
use serde::Deserialize;

pub(super) fn href(event_id: i64) -> String {
    format!("/events/{event_id}/burn-day/talk")
}

pub(super) async fn event(app: &App, id: i64) -> Result<Event> {
    events::found(app.db.read(), id).await
}

/// A page of the talk.
pub(super) async fn page(app: &App, visit: &Visit, event: &Event, title: &str) -> Result<Page> {
    Ok(events::page(app, visit, Some(event), app.clock.now()).await?.titled(title))
}

/// A page below the talk's own.
pub(super) async fn under(app: &App, visit: &Visit, event: &Event, title: &str) -> Result<Page> {
    Ok(page(app, visit, event, title).await?.under(href(event.id), "The talk"))
}

#[derive(Debug, Deserialize)]
pub(super) struct Version {
    pub version: Option<i64>,
}
