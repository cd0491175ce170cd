//! What a check is given, and what it found.

use crate::calc::site::shape::Kind;

/// What the estimate of the fire says, and where and when it burns.
#[derive(Debug, Clone, PartialEq)]
pub struct Given {
    /// How many people are expected.
    pub people: u32,
    /// Room A is lit then, in seconds since 1970.
    pub lit_at: i64,
    /// Latitude and longitude.
    pub place: Option<(f64, f64)>,
    /// What the estimate asks for; none while no plan is pinned.
    pub heat: Option<Heat>,
    /// The length of an attack line, m.
    pub hose: Option<f64>,
    /// Both rooms burn at once.
    pub both_at_once: bool,
}

/// Distances from the rooms' fronts that the estimate of the fire asks for, m.
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
    /// What the flame of one room gives off, kW.
    pub flame: f64,
    /// The part of it that it radiates, 0 to 1.
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
        /// Where the line is drawn, m from the fronts.
        drawn: f64,
        /// What the fire asks for, m.
        asked: f64,
        /// Only wind toward people asks for more.
        is_wind: bool,
    },
    /// The fire has no plan yet, so nothing says how far the line must be.
    NoHeat,
    /// How near the nearest of those who are inside the line is; none inside if good.
    Inside {
        /// From the rooms' fronts to the nearest place for people inside the line, m.
        nearest: Option<f64>,
        /// Where the line is, m from the fronts.
        line: f64,
    },
    /// How many fit on the ground drawn.
    Capacity {
        /// How many people fit.
        fit: u32,
        /// How many are expected.
        people: u32,
        /// The ground drawn for them, m².
        area: f64,
    },
    /// Ways out, their width and the width that is needed.
    WaysOut {
        /// How many there are.
        count: u32,
        /// Their width in all, m.
        width: f64,
        /// The width that so many people need, m.
        needed: f64,
    },
    /// The two ways out that are farthest apart, and half the crowd's diagonal.
    WaysApart {
        /// How far apart they are, m.
        apart: f64,
        /// Half the diagonal of the crowd's ground, m.
        half: f64,
    },
    /// Spaces for people in wheelchairs.
    Wheelchair {
        /// How many are drawn.
        have: u32,
        /// How many so many people ask for.
        asked: u32,
    },
    /// People stand between these spaces and the rooms. `height`: of a platform that would do.
    WheelchairView {
        /// Of a platform that would do, m.
        height: f64,
    },
    /// Receivers for people who hear poorly.
    Receivers {
        /// How many there are.
        have: u32,
        /// How many so many people ask for.
        asked: u32,
        /// How many of them have to work with hearing aids.
        compatible: u32,
    },
    /// Restrooms for so many people.
    Restrooms {
        /// How many are drawn.
        have: u32,
        /// How many so many people ask for.
        asked: u32,
        /// How many accessible ones there have to be among those drawn or asked for, whichever are more.
        accessible: u32,
    },
    /// Parking for so many cars.
    Parking {
        /// How many cars fit.
        fit: u32,
        /// How many are expected.
        cars: u32,
        /// How many of the spaces have to be accessible.
        accessible: u32,
    },
    /// The first row that sees too little, how far it is from the room's front, what it sees
    /// over the row in front, how high the floor must be for all rows, and the number of rows.
    /// Nobody is in front of row 1: it is hidden only where part of the crowd is behind a front,
    /// farthest behind by `-over`, and no floor helps.
    Sight {
        /// The rooms it sees too little of.
        rooms: Vec<Kind>,
        /// Which row it is, counted from 1.
        row: u32,
        /// How far it is from the front, m.
        distance: f64,
        /// What it sees over the row in front, m.
        over: f64,
        /// How high the floor must be for all rows, m.
        floor: f64,
        /// How many rows there are.
        rows: u32,
    },
    /// Every row sees: the last one by this much.
    AllSee {
        /// What the last row sees over the one in front, m.
        over: f64,
        /// How many rows there are.
        rows: u32,
    },
    /// The least speech over noise among the nearer and the farther listeners, and the loudest
    /// speech, dB.
    Speech {
        /// Over the noise, among the nearer listeners, dB.
        first: f64,
        /// The same among the farther ones, dB.
        last: f64,
        /// The loudest speech anyone hears, dB.
        loudest: f64,
    },
    /// No speaker is drawn.
    NoSpeaker,
    /// A speaker near a pump: how far, and its speech over that pump's noise.
    SpeakerByPump {
        /// How far apart they are, m.
        apart: f64,
        /// Its speech over that pump's noise, dB.
        over: f64,
    },
    /// The interpreter seen from the middle of a crowd area, away from the rooms.
    Interpreter {
        /// Between the interpreter and the rooms, degrees.
        aside: f64,
    },
    /// The sun when people look at the rooms. `aside`: from where they look.
    Glare {
        /// Who looks into it.
        who: Kind,
        /// It is so at the end, not at the first fire.
        at_end: bool,
        /// The bearing of the sun, degrees.
        azimuth: f64,
        /// Its height above the horizon, degrees.
        height: f64,
        /// How far it is from where they look, degrees.
        aside: f64,
    },
    /// Nobody looks into the sun.
    NoGlare {
        /// The bearing of the sun, degrees.
        azimuth: f64,
        /// Its height above the horizon, degrees.
        height: f64,
    },
    /// Minutes from the end of overhaul to sunset; negative if it is dark by then.
    Daylight {
        /// Minutes; negative after sunset.
        minutes: i64,
    },
    /// The event has no coordinates, so nothing says where the sun is.
    NoPlace,
    /// Nobody has said where the wind comes from.
    NoWind,
    /// How far inside the sector under the smoke something is.
    Smoke {
        /// What it is.
        kind: Kind,
        /// From the edge of the sector, degrees.
        inside: f64,
        /// The bearing the smoke goes to, degrees.
        to: f64,
        /// The bearing of the thing from the rooms, degrees.
        bearing: f64,
    },
    /// Nothing that matters is under the smoke.
    NobodyInSmoke {
        /// The bearing the smoke goes to, degrees.
        to: f64,
    },
    /// How near something that burns or bursts is.
    Fuel {
        /// What it is.
        kind: Kind,
        /// How far it is from the rooms, m.
        apart: f64,
        /// How far it should be, m.
        asked: f64,
        /// The wind blows toward it.
        is_downwind: bool,
    },
    /// How near an overhead line is to a room.
    Overhead {
        /// In plan, m.
        apart: f64,
    },
    /// Heat of room A's flame on room B, kW/m².
    OnRoomB {
        /// kW/m².
        flux: f64,
        /// From the middle of room A's front to the nearest part of room B, m.
        apart: f64,
        /// A shield hides room B's corners and middle from the flame.
        is_shielded: bool,
    },
    /// Something in a fire lane, or its width; 0 if it has no length.
    Lane {
        /// Something is in it.
        blocked: bool,
        /// Its width, m.
        width: f64,
    },
    /// How near the press escort path comes to the fronts.
    Escort {
        /// m.
        nearest: f64,
        /// How far it should be, m.
        asked: f64,
    },
    /// A hose line is drawn longer than the department's.
    HoseShort {
        /// As drawn, m.
        drawn: f64,
        /// As the department has it, m.
        hose: f64,
    },
    /// A hose line runs where the public or the press is.
    HoseInCrowd,
}

impl Finding {
    pub(super) fn new(what: What, grade: Grade, items: Vec<u32>, badness: f64) -> Self {
        Self { what, grade, items, badness }
    }
}
