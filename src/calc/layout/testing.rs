//! A room that every check accepts, and random items.

use super::shape::{Fastening, Frame, Placed, Use};
use super::{FOOT, INCH};
use proptest::prelude::*;

pub const ROOM: Frame = Frame { width: 8.0 * FOOT, depth: 8.0 * FOOT, height: 8.0 * FOOT };

/// Something in inches: its center, its size, and its underside.
pub fn item(id: u64, what: Use, (x, y): (f64, f64), [width, depth, height]: [f64; 3], above: f64) -> Placed {
    Placed {
        id,
        what,
        x: x * INCH,
        y: y * INCH,
        width: width * INCH,
        depth: depth * INCH,
        height: height * INCH,
        above: above * INCH,
        turn: 0.0,
    }
}

/// Room A. Ids: basket 1, curtain 2, carpet 3, alarm 4, fuse hole 5, catch board 6, clear panel
/// 7, outside on the front, sofa 8.
pub fn room_a() -> Vec<Placed> {
    vec![
        item(1, Use::Basket, (24.0, 10.0), [12.0, 12.0, 14.0], 0.0),
        item(2, Use::Curtain, (30.0, 3.0), [48.0, 2.0, 83.0], 1.0),
        item(3, Use::Carpet, (48.0, 48.0), [96.0, 96.0, 0.5], 0.0),
        item(4, Use::Alarm, (60.0, 60.0), [5.0, 5.0, 2.0], 94.0),
        item(5, Use::FuseHole, (24.0, 0.0), [3.0, 1.0, 3.0], 12.0),
        item(6, Use::CatchBoard, (48.0, 120.0), [96.0, 48.0, 0.75], 0.0),
        item(7, Use::ClearPanel { fastened: Fastening::Screwed }, (48.0, 96.5), [96.0, 0.25, 48.0], 48.0),
        item(8, Use::Fuel, (68.0, 24.0), [40.0, 30.0, 36.0], 0.0),
    ]
}

/// Room B: the same, and the sprinkler is 9. Its pipe goes on through the ceiling.
pub fn room_b() -> Vec<Placed> {
    let mut room = room_a();
    room.retain(|item| item.what != Use::CatchBoard);
    for item in &mut room {
        if matches!(item.what, Use::ClearPanel { .. }) {
            item.what = Use::ClearPanel { fastened: Fastening::QuickRelease };
        }
    }
    room.push(item(9, Use::Sprinkler, (36.0, 48.0), [2.0, 2.0, 5.0], 93.0));
    room
}

prop_compose! {
    /// Something anywhere near the room.
    pub fn placed()(
        (x, y, turn) in (-1.0..4.0, -1.0..4.0, -360.0..360.0),
        (width, depth, height, above) in (0.0..2.0, 0.0..2.0, 0.0..2.0, 0.0..2.0),
    ) -> Placed {
        Placed { id: 1, what: Use::Fuel, x, y, width, depth, height, above, turn }
    }
}
