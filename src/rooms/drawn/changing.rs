//! What the pages that change the drawing have in common.

use super::form::PlaceForm;
use super::place::{Built, Frame, Place};
use super::snapshot::{Drawable, LayoutSnapshot};
use super::store;
use crate::accounts::Visit;
use crate::error::{Error, Result};
use crate::rooms::Room;
use crate::rooms::page::snapshot;
use crate::state::App;
use serde::Deserialize;

pub(super) fn href(event_id: i64) -> String {
    format!("/events/{event_id}/rooms/plan")
}

pub(super) async fn load(app: &App, id: i64) -> Result<LayoutSnapshot> {
    let snapshot = snapshot(app, id).await?;
    LayoutSnapshot::load(&mut *app.db.read().acquire().await?, snapshot).await
}

#[derive(Debug, Deserialize)]
pub(super) struct Version {
    pub version: Option<i64>,
}

/// An item that can be drawn, with the frame it stands in.
pub(super) fn find(known: &LayoutSnapshot, thing: i64) -> Result<(Frame, Drawable)> {
    let frame = known.frame.ok_or(Error::NotFound)?;
    let mut both = Room::ALL.into_iter().flat_map(|room| known.drawable(&frame, room));
    let one = both.find(|one| one.id == thing).ok_or(Error::NotFound)?;
    Ok((frame, one))
}

/// Where an item would be put: its own place, its twin's, or the middle of the room.
pub(super) fn proposed(known: &LayoutSnapshot, one: &Drawable) -> Place {
    if let Some((_, built)) = &one.fixture {
        return built.place;
    }
    let twin = || known.twin(one.id).and_then(|twin| known.places.get(&twin)).copied();
    let box_ = &one.box_;
    let middle = Place { x: box_.x, y: box_.y, above: box_.above, turn: 0.0, version: 0 };
    one.place.or_else(|| twin().map(|place| Place { version: 0, ..place })).unwrap_or(middle)
}

/// Puts something at a place. Without a form, the rest of a built part stays as it is.
pub(super) async fn put(
    app: &App,
    visit: &Visit,
    id: i64,
    one: &Drawable,
    (new, typed): (Place, Option<&PlaceForm>),
) -> Result<bool> {
    let (now, actor, thing, called) = (app.clock.now(), visit.user.actor(), one.id, one.in_full());
    if let Some((_, built)) = &one.fixture {
        let built = typed.map_or_else(|| Built { place: new, ..built.clone() }, |typed| typed.built(new));
        let write = app
            .db
            .write(move |tx| Box::pin(async move { store::build(tx, actor, id, (thing, &called), &built, now).await }));
        return write.await;
    }
    let write =
        app.db.write(move |tx| Box::pin(async move { store::place(tx, actor, id, (thing, &called), &new, now).await }));
    write.await
}
