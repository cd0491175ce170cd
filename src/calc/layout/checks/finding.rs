//! What a check found.

use crate::calc::layout::ROUNDING;
use crate::calc::layout::shape::{Fastening, Placed, Side, Use};

/// How much a finding matters, the worst first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Grade {
    /// Settle it, or let the safety officer accept it.
    Wrong,
    /// Look at it again.
    Look,
    Good,
}

/// What one check found.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    pub what: What,
    pub grade: Grade,
    /// What it is about. Empty if that isn't drawn.
    pub items: Vec<u64>,
}

/// What was found, with its numbers in meters and shares of 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum What {
    /// It isn't drawn.
    Missing(Use),
    /// Room A burns without a sprinkler, and one is drawn.
    SprinklerInA,
    /// It sticks out most at this side, or is beyond it.
    Outside { side: Side, by: f64 },
    /// Two items that stand on the floor take up the same ground; moving one by this much
    /// clears them.
    Overlap { by: f64 },
    /// The size of the basket that is lit.
    BasketSize { width: f64, depth: f64, height: f64 },
    /// From the basket to the nearest curtain.
    BasketToCurtain { gap: f64 },
    /// From the basket to the back wall.
    BasketToWall { gap: f64 },
    /// The fuse hole's size as the audience sees it.
    FuseHoleSize { width: f64, height: f64 },
    /// The fuse hole's middle: how far it is from the back wall, how far past the basket's
    /// side, and how far above the basket's rim (negative below it).
    FuseHolePlace { from_wall: f64, aside: f64, above_rim: f64 },
    /// How long a curtain is from its rod down, and how far its hem is above the floor.
    CurtainDrop { drop: f64, gap: f64 },
    /// From the back wall to the curtain's farthest edge.
    CurtainToWall { farthest: f64 },
    /// The part of the floor that carpet covers.
    CarpetCover { share: f64 },
    /// How a clear panel is held, and how it should be in this room.
    PanelFastening { fastened: Fastening, wanted: Fastening },
    /// The catch board's shorter and longer side.
    CatchBoardSize { width: f64, length: f64 },
    /// From the front to the catch board, negative if it reaches into the room; its underside
    /// above the floor; and the part of the front's width that it lies before.
    CatchBoardPlace { gap: f64, above: f64, share: f64 },
    /// From the ceiling down to the sprinkler's deflector.
    SprinklerDepth { below_ceiling: f64 },
    /// Something is in the sprinkler's spray: how far its top is below the deflector
    /// (negative above it), how far it is away in plan, and how far it should be.
    SprinklerBlocked { below: f64, gap: f64, wanted: f64 },
    /// Nothing is in the sprinkler's spray.
    SprinklerClear,
    /// The part of the open front that nothing blocks, clear panels aside.
    OpenFront { share: f64 },
}

impl Finding {
    pub(super) fn new(what: What, grade: Grade, items: &[&Placed]) -> Self {
        Self { what, grade, items: items.iter().map(|item| item.id).collect() }
    }
}

/// Good if it is, else the other grade.
pub(super) fn good_or(is_good: bool, other: Grade) -> Grade {
    if is_good { Grade::Good } else { other }
}

/// Within limits, both included.
pub(super) fn within(value: f64, least: f64, most: f64) -> bool {
    value >= least - ROUNDING && value <= most + ROUNDING
}

/// What is of a use.
pub(super) fn of(placed: &[Placed], what: Use) -> impl Iterator<Item = &Placed> {
    placed.iter().filter(move |item| item.what == what)
}
