//! Both rooms, drawn to scale: where each item stands, and what is wrong with that.

mod drawing;
mod fixture;
mod form;
mod known;
mod routes;
mod says;
mod store;

use super::Room;
use super::snapshot::RoomSnapshot;
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::events::Event;
use crate::state::App;
use axum::Router;
use sqlx::SqliteConnection;
use time::OffsetDateTime;

pub(super) use drawing::{Picture, pictures};
pub(super) use known::{Known, moved};
pub(super) use says::Said;
pub use store::{Frame, Place, place, set_frame};

pub(super) fn router() -> Router<App> {
    routes::router()
}

/// What the fire estimate takes from the drawing, in meters.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measured {
    pub width: f64,
    pub depth: f64,
    pub height: f64,
    /// How far the clear panel of room A reaches down from the top of the front, if it is drawn.
    pub panel: Option<f64>,
    /// From the basket to the sprinkler, level.
    pub sprinkler: Option<f64>,
    /// From the basket to the smoke alarm, level.
    pub alarm: Option<f64>,
}

/// None until someone entered how large the rooms are.
///
/// # Errors
/// The store's.
pub async fn measured(db: &mut SqliteConnection, event: &Event) -> Result<Option<Measured>> {
    let snapshot = RoomSnapshot::load(db, event).await?;
    let known = Known::load(db, snapshot).await?;
    Ok(known.frame.map(|frame| known::measured(&known, &frame)))
}

/// Moves the built parts that are where they usually are to where that is in rooms of another
/// size.
async fn follow(
    tx: &mut Tx,
    actor: Actor,
    event: &Event,
    (old, new): (&Frame, &Frame),
    now: OffsetDateTime,
) -> Result<()> {
    let snapshot = RoomSnapshot::load(tx, event).await?;
    let known = Known::load(tx, snapshot).await?;
    for room in Room::ALL {
        for one in known.drawable(new, room) {
            let Some((fixture, built)) = one.fixture.as_ref().filter(|_| one.place.is_some()) else { continue };
            let usual = |frame: &Frame| fixture.usual(frame, known.basket(frame, room));
            let (was, place) = (usual(old), built.place);
            let is_usual = [(was.x, place.x), (was.y, place.y), (was.above, place.above)];
            if is_usual.into_iter().all(|(usual, is)| (usual - is).abs() < 1e-3) {
                let place = Place { turn: place.turn, version: place.version, ..usual(new) };
                let built = store::Built { place, ..built.clone() };
                store::build(tx, actor, event.id, (one.id, &one.in_full()), &built, now).await?;
            }
        }
    }
    Ok(())
}

/// Draws the parts that are built into both rooms where they usually are.
///
/// # Errors
/// The store's.
pub async fn place_usual(tx: &mut Tx, actor: Actor, event: &Event, now: OffsetDateTime) -> Result<usize> {
    let snapshot = RoomSnapshot::load(tx, event).await?;
    let known = Known::load(tx, snapshot).await?;
    let Some(frame) = known.frame else { return Ok(0) };
    let mut placed = 0;
    for room in Room::ALL {
        for one in known.drawable(&frame, room).into_iter().filter(|one| one.place.is_none()) {
            if let Some((_, built)) = &one.fixture {
                placed += usize::from(store::build(tx, actor, event.id, (one.id, &one.in_full()), built, now).await?);
            }
        }
    }
    Ok(placed)
}
