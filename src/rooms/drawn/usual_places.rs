//! Where built parts usually are.

use super::place::{Built, Frame, Place};
use super::snapshot::LayoutSnapshot;
use super::store;
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::events::Event;
use crate::rooms::Room;
use crate::rooms::snapshot::RoomSnapshot;
use time::OffsetDateTime;

/// Moves the built parts that are where they usually are to where that is in rooms of another
/// size.
pub(super) async fn move_usual(
    tx: &mut Tx,
    actor: Actor,
    event: &Event,
    (old, new): (&Frame, &Frame),
    now: OffsetDateTime,
) -> Result<()> {
    let snapshot = RoomSnapshot::load(tx, event).await?;
    let known = LayoutSnapshot::load(tx, snapshot).await?;
    for room in Room::ALL {
        for one in known.drawable(new, room) {
            let Some((fixture, built)) = one.fixture.as_ref().filter(|_| one.place.is_some()) else { continue };
            let usual = |frame: &Frame| fixture.usual(frame, known.basket(frame, room));
            let (was, place) = (usual(old), built.place);
            let is_usual = [(was.x, place.x), (was.y, place.y), (was.above, place.above)];
            if is_usual.into_iter().all(|(usual, is)| (usual - is).abs() < 1e-3) {
                let place = Place { turn: place.turn, version: place.version, ..usual(new) };
                let built = Built { place, ..built.clone() };
                store::build(tx, actor, event.id, (one.id, &one.in_full()), &built, now).await?;
            }
        }
    }
    Ok(())
}

/// Draws the parts that are built into both rooms where they usually are.
pub async fn place_usual(tx: &mut Tx, actor: Actor, event: &Event, now: OffsetDateTime) -> Result<usize> {
    let snapshot = RoomSnapshot::load(tx, event).await?;
    let known = LayoutSnapshot::load(tx, snapshot).await?;
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
