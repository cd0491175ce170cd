//! The room and its open front, read.

use crate::calc::fire::room::{Lining, Opening, Room};
use crate::calc::fire::{FOOT, kelvin};
use crate::fire::choices::Walls;
use crate::fire::setup::Setup;
use crate::fire::typed::{feet, length};
use crate::web::form::Mistakes;

/// Sizes in meters, as far as they can be read.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sizes {
    long: Option<f64>,
    wide: Option<f64>,
    pub height: Option<f64>,
    front_width: Option<f64>,
    front_height: Option<f64>,
    /// How far the clear panel reaches down.
    panel: Option<f64>,
}

impl Sizes {
    pub fn read(setup: &Setup, said: &mut Mistakes) -> Self {
        let mut size = |name, text: &str, least, most| said.note(name, length(text, least, most));
        Self {
            long: size("length", &setup.length, 4.0, 40.0),
            wide: size("width", &setup.width, 4.0, 40.0),
            height: size("height", &setup.height, 6.5, 13.2),
            front_width: size("front_width", &setup.front_width, 1.0, 40.0),
            front_height: size("front_height", &setup.front_height, 1.0, 13.2),
            panel: if setup.panel.trim().is_empty() { Some(0.0) } else { size("panel", &setup.panel, 0.0, 13.0) },
        }
    }

    /// Notes where the front doesn't fit the room.
    pub fn check_front(&self, said: &mut Mistakes) {
        if let (Some(height), Some(front), Some(panel)) = (self.height, self.front_height, self.panel) {
            if front > height + 1e-9 {
                said.add("front_height", format!("The room is only {} high.", feet(height)));
            } else if front - panel < FOOT - 1e-3 {
                said.add("panel", format!("Leave at least 1 ft of the front open. It is {} high.", feet(front)));
            }
        }
        if let (Some(long), Some(wide), Some(front)) = (self.long, self.wide, self.front_width)
            && front > long.max(wide) + 1e-9
        {
            said.add("front_width", format!("The longest wall is only {} wide.", feet(long.max(wide))));
        }
    }

    /// From corner to corner.
    pub fn diagonal(&self) -> Option<f64> {
        Some(self.long?.hypot(self.wide?))
    }

    /// The front without its panel.
    pub fn front(&self) -> Option<Opening> {
        Some(Opening { width: self.front_width?, sill: 0.0, soffit: self.front_height? })
    }

    /// The room behind its panel.
    pub fn room(&self, walls: Walls) -> Option<Room> {
        let front = self.front()?;
        Some(Room {
            length: self.long?,
            width: self.wide?,
            height: self.height?,
            opening: Opening { soffit: front.soffit - self.panel?, ..front },
            walls: walls.lining(),
            floor: Lining::GYPSUM,
            ambient: kelvin(20.0),
        })
    }
}
