//! What simulated fires rest on.

use crate::calc::fire::growth::Item;
use crate::calc::fire::room::Room;
use crate::calc::fire::sampling::{Range, normal};
use crate::calc::fire::zone::Location;
use serde::{Deserialize, Serialize};

/// The model's error in the sprinkler's time: the standard deviation of its logarithm, like the others.
pub const SPRINKLER_ERROR: f64 = 0.20;
/// Of the time to 500 to 600 °C.
pub const FLASHOVER_ERROR: f64 = 0.40;
/// Of the time to 20 kW/m² at the floor.
pub const FLOOR_ERROR: f64 = 0.30;
/// Of the layer's rise.
pub const LAYER_ERROR: f64 = 0.18;

/// The picture has a point at every so many seconds.
pub const PICTURE_STEP: f64 = 5.0;
/// What an alarm senses. Its time is that of an element that is 5 K warmer (RTI 5), and then
/// a lag that eight of NIST's home alarm tests showed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sensing {
    /// Responds first to open flames: 3 to 17 s later in eight of ten.
    Ionization,
    /// 30 to 100 s later.
    Photoelectric,
    /// Not known: one or the other.
    Unknown,
}

impl Sensing {
    /// How long after the element it responds, s, in all but 1 − `part` of its tests.
    #[must_use]
    pub fn lag(self, part: f64) -> f64 {
        let of = |mean: f64, deviation: f64, part: f64| (mean + deviation * normal(part)).max(0.0);
        match self {
            Self::Ionization => of(10.0, 5.5, part),
            Self::Photoelectric => of(65.0, 27.0, part),
            Self::Unknown if part < 0.5 => Self::Ionization.lag(2.0 * part),
            Self::Unknown => Self::Photoelectric.lag(2.0 * part - 1.0),
        }
    }
}

/// The sprinkler in room B.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sprinkler {
    /// Its temperature rating, K.
    pub rating: f64,
    /// From the fire's axis, m.
    pub distance: Range,
    /// Its response time index, (m·s)^½.
    pub rti: Range,
    /// What it loses to its pipe, (m/s)^½.
    pub conductance: Range,
    /// Water on the floor, mm/s.
    pub density: f64,
}

/// The alarm in each room.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Alarm {
    /// From the fire's axis, m.
    pub distance: Range,
    /// What it senses.
    pub sensing: Sensing,
}

/// Everything that a simulation rests on.
#[derive(Debug, Clone, PartialEq)]
pub struct Inputs {
    /// Its ambient temperature is drawn from `ambient`.
    pub room: Room,
    /// Each lit by the one before; the first one's delay is how long paper takes to burn.
    pub items: Vec<Item>,
    /// Where in the room the fire is: in the open, at a wall, or in a corner.
    pub location: Location,
    /// The fire's surface above the floor, m.
    pub surface: Range,
    /// K.
    pub ambient: Range,
    /// The sprinkler in room B.
    pub sprinkler: Sprinkler,
    /// The alarm in each room.
    pub alarm: Alarm,
    /// The layer's temperature at flashover, K.
    pub flashover: Range,
    /// How long the fires are followed, s.
    pub until: f64,
}

/// Something that was varied.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum Factor {
    /// By the item's place in the list.
    Delay(usize),
    /// An item's highest heat release.
    Peak(usize),
    /// How fast it burns up and down.
    Pace(usize),
    /// The height of the fire's surface.
    Surface,
    /// The air before the fire.
    Ambient,
    /// From the fire to the sprinkler.
    SprinklerDistance,
    /// The sprinkler's response time index.
    Rti,
    /// What the sprinkler loses to its pipe.
    Conductance,
    /// From the fire to the alarm.
    AlarmDistance,
    /// How long the alarm takes to sense the smoke.
    AlarmLag,
    /// The layer's temperature at flashover.
    Threshold,
    /// The model's error in the sprinkler's time.
    SprinklerError,
    /// The model's error in the time to flashover.
    FlashoverError,
    /// The model's error in the time until the floor gets 20 kW/m².
    FloorError,
}
