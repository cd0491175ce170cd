//! What the pages of guests begin with.

use super::record::GuestRecord;
use super::snapshot::GuestSnapshot;
use crate::accounts::Visit;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::state::App;
use crate::web::page::Page;

pub(super) async fn event(app: &App, id: i64) -> Result<Event> {
    events::find(app.db.read(), id).await?.ok_or(Error::NotFound)
}

/// All guests of an event.
pub(super) async fn snapshot(app: &App, id: i64) -> Result<GuestSnapshot> {
    let event = event(app, id).await?;
    GuestSnapshot::load(&mut *app.db.read().acquire().await?, &event).await
}

/// A page under Guests.
pub(super) async fn page(app: &App, visit: &Visit, event: &Event, title: &str) -> Result<Page> {
    let page = events::page(app, visit, Some(event), app.clock.now()).await?;
    Ok(page.titled(title))
}

/// A guest of this event.
pub(super) fn found(snapshot: &GuestSnapshot, id: i64) -> Result<&GuestRecord> {
    snapshot.find(id).ok_or(Error::NotFound)
}
