//! What the fire estimate takes from the drawing.

use super::fixture::Fixture;
use super::place::Frame;
use super::snapshot::LayoutSnapshot;
use crate::calc::layout;
use crate::error::Result;
use crate::events::Event;
use crate::rooms::Room;
use crate::rooms::snapshot::RoomSnapshot;
use sqlx::SqliteConnection;

/// Sizes and distances, in meters.
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
pub async fn measured(db: &mut SqliteConnection, event: &Event) -> Result<Option<Measured>> {
    let snapshot = RoomSnapshot::load(db, event).await?;
    let known = LayoutSnapshot::load(db, snapshot).await?;
    Ok(known.frame.map(|frame| of(&known, &frame)))
}

fn of(known: &LayoutSnapshot, frame: &Frame) -> Measured {
    let of = |room: Room| layout::fire_distances(&known.placed(frame, room));
    // The sprinkler is in room B; the alarm is asked of room A first, where nothing stops the
    // fire.
    let (a, b) = (of(Room::A), of(Room::B));
    let alarm = a.and_then(|found| found.alarm).or(b.and_then(|found| found.alarm));
    Measured {
        width: frame.width,
        depth: frame.depth,
        height: frame.height,
        panel: known.fixtures.contains_key(&Fixture::ClearPanel.number(Room::A)).then_some(frame.panels),
        sprinkler: b.and_then(|found| found.sprinkler).map(|reach| reach.distance),
        alarm: alarm.map(|reach| reach.distance),
    }
}
