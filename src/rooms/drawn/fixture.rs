//! What is built into the rooms and is on no list: the drawing says what and where.

use super::place::{Built, Frame, Place};
use crate::calc::layout::{Fastening, Placed, Use};
use crate::calc::site::INCH;
use crate::rooms::Room;

/// A built part of one room.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Fixture {
    Carpet,
    FuseHole,
    ClearPanel,
    /// Before room A only.
    CatchBoard,
    /// In room B only.
    Sprinkler,
}

const IN_A: [Fixture; 4] = [Fixture::Carpet, Fixture::FuseHole, Fixture::ClearPanel, Fixture::CatchBoard];
const IN_B: [Fixture; 4] = [Fixture::Carpet, Fixture::FuseHole, Fixture::ClearPanel, Fixture::Sprinkler];

impl Fixture {
    pub fn of(room: Room) -> [Self; 4] {
        match room {
            Room::A => IN_A,
            Room::B => IN_B,
        }
    }

    /// Its number on the drawing. Those of room B follow after ten.
    pub fn number(self, room: Room) -> i64 {
        let own = match self {
            Self::Carpet => 1,
            Self::FuseHole => 2,
            Self::ClearPanel => 3,
            Self::CatchBoard => 4,
            Self::Sprinkler => 5,
        };
        -(if room == Room::A { own } else { own + 10 })
    }

    pub fn called(self) -> &'static str {
        match self {
            Self::Carpet => "Carpet",
            Self::FuseHole => "Fuse hole",
            Self::ClearPanel => "Clear panel",
            Self::CatchBoard => "Catch board",
            Self::Sprinkler => "Sprinkler head",
        }
    }

    fn what(self, held: &str) -> Use {
        match self {
            Self::Carpet => Use::Carpet,
            Self::FuseHole => Use::FuseHole,
            Self::CatchBoard => Use::CatchBoard,
            Self::Sprinkler => Use::Sprinkler,
            Self::ClearPanel => Use::ClearPanel {
                fastened: match held {
                    "screwed" => Fastening::Screwed,
                    "quick release" => Fastening::QuickRelease,
                    _ => Fastening::Unknown,
                },
            },
        }
    }

    /// Across, from back to front, and up. Carpet and panel are cut to the room; the rest has
    /// the usual size (common practice, no source).
    fn size(self, frame: &Frame) -> [f64; 3] {
        match self {
            Self::Carpet => [frame.width, frame.depth, 0.5 * INCH],
            Self::ClearPanel => [frame.width, 0.25 * INCH, frame.panels],
            Self::FuseHole => [3.0, 1.0, 3.0].map(|inches| inches * INCH),
            Self::CatchBoard => [96.0, 48.0, 0.75].map(|inches| inches * INCH),
            Self::Sprinkler => [2.0; 3].map(|inches| inches * INCH),
        }
    }

    /// Is there any of it? Rooms may have no clear panels.
    pub fn fits(self, frame: &Frame) -> bool {
        self != Self::ClearPanel || frame.panels > 0.0
    }

    /// Where it usually is. `basket` is the middle of the wastebasket, from the left wall.
    pub fn usual(self, frame: &Frame, basket: Option<f64>) -> Place {
        let [_, along, up] = self.size(frame);
        let middle = frame.width / 2.0;
        let (x, y, above) = match self {
            Self::Carpet => (middle, frame.depth / 2.0, 0.0),
            Self::FuseHole => (basket.unwrap_or(middle), along / 2.0, 9.0 * INCH),
            Self::ClearPanel => (middle, frame.depth - along / 2.0, frame.height - up),
            Self::CatchBoard => (middle, frame.depth + along / 2.0, 0.0),
            Self::Sprinkler => (middle, frame.depth / 2.0, frame.height - 3.0 * INCH),
        };
        Place { x, y, above, turn: 0.0, version: 0 }
    }

    /// Its box at a place.
    pub fn drawn(self, frame: &Frame, id: u64, place: &Place, held: &str) -> Placed {
        let [width, depth, height] = self.size(frame);
        let Place { x, y, above, turn, .. } = *place;
        Placed { id, what: self.what(held), x, y, width, depth, height, above, turn }
    }

    /// As it is built if nobody says otherwise: screwed on room A, to be taken off in room B.
    pub fn usually(self, room: Room, place: Place) -> Built {
        let held = match (self, room) {
            (Self::ClearPanel, Room::A) => "screwed",
            (Self::ClearPanel, Room::B) => "quick release",
            _ => "",
        };
        Built { place, held: held.to_owned(), is_built: false }
    }
}
