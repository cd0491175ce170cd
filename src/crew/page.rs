//! What the pages about the crew have in common.

use super::snapshot::CrewSnapshot;
use crate::accounts::Visit;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::state::App;
use crate::web::page::Page;

/// The event of a page.
pub(super) async fn event(app: &App, id: i64) -> Result<Event> {
    events::find(app.db.read(), id).await?.ok_or(Error::NotFound)
}

/// The crew of an event.
pub(super) async fn snapshot(app: &App, id: i64) -> Result<CrewSnapshot> {
    let event = event(app, id).await?;
    CrewSnapshot::load(&mut *app.db.read().acquire().await?, &event).await
}

/// A page of the Crew place.
pub(super) async fn page(app: &App, visit: &Visit, event: &Event, title: &str) -> Result<Page> {
    Ok(events::page(app, visit, Some(event), app.clock.now()).await?.titled(title))
}
