//! What a check is given, and what it found.

use crate::calc::site::shape::Kind;

/// What the estimate of the fire says, and where and when it burns.
#[derive(Debug, Clone, PartialEq)]
pub struct Given {
    pub people: u32,
    /// Room A is lit then, in seconds since 1970.
    pub lit_at: i64,
    /// Latitude and longitude.
    pub place: Option<(f64, f64)>,
    pub heat: Option<Heat>,
    /// The length of an attack line.
    pub hose: Option<f64>,
    pub both_at_once: bool,
}

/// Distances from the rooms' fronts that the estimate of the fire asks for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Heat {
    /// The public's, by the largest of its rules.
    pub public: f64,
    /// The same with wind toward people.
    pub public_with_wind: f64,
    /// Press with an escort.
    pub press: f64,
    /// Things that melt.
    pub things: f64,
    /// The flame, kW, and the part of it that it radiates.
    pub flame: f64,
    pub radiated: f64,
}

/// How much a finding matters, the worst first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Grade {
    /// Settle it, or let the safety officer accept it.
    Wrong,
    /// Look at it again.
    Look,
    /// Something is missing to check it.
    Unknown,
    Good,
}

/// What one check found.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    pub what: What,
    pub grade: Grade,
    /// What it is about, on the drawing.
    pub items: Vec<u32>,
    /// How bad it is, mostly in the unit of its own number: more is worse. It grows with each of
    /// the numbers that make the finding worse, and compares findings of one kind only.
    pub badness: f64,
}

/// What was found, with its numbers.
#[derive(Debug, Clone, PartialEq)]
pub enum What {
    /// These aren't on the drawing.
    Missing(Vec<Kind>),
    /// The line of the public against what the fire asks for. `is_wind`: only wind toward
    /// people asks for more.
    Line {
        drawn: f64,
        asked: f64,
        is_wind: bool,
    },
    /// The fire has no plan yet, so nothing says how far the line must be.
    NoHeat,
    /// How near the nearest of those who are inside the line is; none inside if good.
    Inside {
        nearest: Option<f64>,
        line: f64,
    },
    /// How many fit on the ground drawn.
    Capacity {
        fit: u32,
        people: u32,
        area: f64,
    },
    /// Ways out, their width and the width that is needed.
    WaysOut {
        count: u32,
        width: f64,
        needed: f64,
    },
    /// The two ways out that are farthest apart, and half the crowd's diagonal.
    WaysApart {
        apart: f64,
        half: f64,
    },
    Wheelchair {
        have: u32,
        asked: u32,
    },
    /// People stand between these spaces and the rooms. `height`: of a platform that would do.
    WheelchairView {
        height: f64,
    },
    Receivers {
        have: u32,
        asked: u32,
        compatible: u32,
    },
    Restrooms {
        have: u32,
        asked: u32,
        accessible: u32,
    },
    Parking {
        fit: u32,
        cars: u32,
        accessible: u32,
    },
    /// The first row that sees too little, how far it is from the room's front, what it sees
    /// over the row in front, how high the floor must be for all rows, and the number of rows.
    /// Nobody is in front of row 1: it is hidden only where part of the crowd is behind a front,
    /// farthest behind by `-over`, and no floor helps.
    Sight {
        rooms: Vec<Kind>,
        row: u32,
        distance: f64,
        over: f64,
        floor: f64,
        rows: u32,
    },
    /// Every row sees: the last one by this much.
    AllSee {
        over: f64,
        rows: u32,
    },
    /// The least speech over noise among the nearer and the farther listeners, and the loudest
    /// speech, dB.
    Speech {
        first: f64,
        last: f64,
        loudest: f64,
    },
    NoSpeaker,
    /// A speaker near a pump: how far, and its speech over that pump's noise.
    SpeakerByPump {
        apart: f64,
        over: f64,
    },
    /// The interpreter seen from the middle of a crowd area, away from the rooms.
    Interpreter {
        aside: f64,
    },
    /// The sun when people look at the rooms. `aside`: from where they look.
    Glare {
        who: Kind,
        at_end: bool,
        azimuth: f64,
        height: f64,
        aside: f64,
    },
    NoGlare {
        azimuth: f64,
        height: f64,
    },
    /// Minutes from the end of overhaul to sunset; negative if it is dark by then.
    Daylight {
        minutes: i64,
    },
    NoPlace,
    NoWind,
    /// How far inside the sector under the smoke something is.
    Smoke {
        kind: Kind,
        inside: f64,
        to: f64,
        bearing: f64,
    },
    NobodyInSmoke {
        to: f64,
    },
    /// How near something that burns or bursts is.
    Fuel {
        kind: Kind,
        apart: f64,
        asked: f64,
        is_downwind: bool,
    },
    /// How near an overhead line is to a room.
    Overhead {
        apart: f64,
    },
    /// Heat of room A's flame on room B, kW/m².
    OnRoomB {
        flux: f64,
        apart: f64,
        is_shielded: bool,
    },
    /// Something in a fire lane, or its width; 0 if it has no length.
    Lane {
        blocked: bool,
        width: f64,
    },
    /// How near the press escort path comes to the fronts.
    Escort {
        nearest: f64,
        asked: f64,
    },
    HoseShort {
        drawn: f64,
        hose: f64,
    },
    HoseInCrowd,
}

impl Finding {
    pub(super) fn new(what: What, grade: Grade, items: Vec<u32>, badness: f64) -> Self {
        Self { what, grade, items, badness }
    }
}
