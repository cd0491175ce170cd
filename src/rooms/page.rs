//! What the pages of the rooms have in common.

use super::snapshot::RoomSnapshot;
use super::{Thing, store};
use crate::accounts::Visit;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::state::App;
use crate::web::page::Page;
use time::OffsetDateTime;

pub(super) async fn event(app: &App, id: i64) -> Result<Event> {
    events::find(app.db.read(), id).await?.ok_or(Error::NotFound)
}

pub(super) async fn snapshot(app: &App, id: i64) -> Result<RoomSnapshot> {
    let event = event(app, id).await?;
    RoomSnapshot::load(&mut *app.db.read().acquire().await?, &event).await
}

/// An item of an event.
pub(super) async fn found(app: &App, event_id: i64, id: i64) -> Result<Thing> {
    store::find(&mut *app.db.read().acquire().await?, event_id, id).await?.ok_or(Error::NotFound)
}

pub(super) async fn page(app: &App, visit: &Visit, event: &Event, title: &str, now: OffsetDateTime) -> Result<Page> {
    Ok(events::page(app, visit, Some(event), now).await?.titled(title))
}
