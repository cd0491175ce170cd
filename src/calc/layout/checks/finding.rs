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
    /// Nothing to do.
    Good,
}

/// What one check found.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// What was found.
    pub what: What,
    /// How much it matters.
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
    Outside {
        /// The wall or opening it sticks out at.
        side: Side,
        /// How far, m.
        by: f64,
    },
    /// Two items that stand on the floor take up the same ground; moving one by this much
    /// clears them.
    Overlap {
        /// How far one has to move, m.
        by: f64,
    },
    /// The size of the basket that is lit.
    BasketSize {
        /// From its left to its right, m.
        width: f64,
        /// From its back to its front, m.
        depth: f64,
        /// From the floor to its rim, m.
        height: f64,
    },
    /// From the basket to the nearest curtain.
    BasketToCurtain {
        /// Between the two, m.
        gap: f64,
    },
    /// From the basket to the back wall.
    BasketToWall {
        /// Between the two, m.
        gap: f64,
    },
    /// The fuse hole's size as the audience sees it.
    FuseHoleSize {
        /// From side to side, m.
        width: f64,
        /// From bottom to top, m.
        height: f64,
    },
    /// The fuse hole's middle: how far it is from the back wall, how far past the basket's
    /// side, and how far above the basket's rim (negative below it).
    FuseHolePlace {
        /// From the back wall, m.
        from_wall: f64,
        /// Past the basket's side, m.
        aside: f64,
        /// Above the basket's rim, m.
        above_rim: f64,
    },
    /// How long a curtain is from its rod down, and how far its hem is above the floor.
    CurtainDrop {
        /// From the rod down, m.
        drop: f64,
        /// From its hem to the floor, m.
        gap: f64,
    },
    /// From the back wall to the curtain's farthest edge.
    CurtainToWall {
        /// Along the normal of the wall, m.
        farthest: f64,
    },
    /// The part of the floor that carpet covers.
    CarpetCover {
        /// 0 to 1.
        share: f64,
    },
    /// How a clear panel is held, and how it should be in this room.
    PanelFastening {
        /// How it is held.
        fastened: Fastening,
        /// How it should be held.
        wanted: Fastening,
    },
    /// The catch board's shorter and longer side.
    CatchBoardSize {
        /// Its shorter side, m.
        width: f64,
        /// Its longer side, m.
        length: f64,
    },
    /// From the front to the catch board, negative if it reaches into the room; its underside
    /// above the floor; and the part of the front's width that it lies before.
    CatchBoardPlace {
        /// From the front, m.
        gap: f64,
        /// Its underside above the floor, m.
        above: f64,
        /// Of the front's width, 0 to 1.
        share: f64,
    },
    /// From the ceiling down to the sprinkler's deflector.
    SprinklerDepth {
        /// Down from the ceiling, m.
        below_ceiling: f64,
    },
    /// Something is in the sprinkler's spray: how far its top is below the deflector
    /// (negative above it), how far it is away in plan, and how far it should be.
    SprinklerBlocked {
        /// Below the deflector, m.
        below: f64,
        /// In plan, m.
        gap: f64,
        /// How far it should be, m.
        wanted: f64,
    },
    /// Nothing is in the sprinkler's spray.
    SprinklerClear,
    /// The part of the open front that nothing blocks, clear panels aside.
    OpenFront {
        /// 0 to 1.
        share: f64,
    },
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
