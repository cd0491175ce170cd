//! What is borrowed.

use crate::loans::{Insured, Kind, Step};

/// The school's contact for the clock.
pub(super) const COACH: &str = "Ambrose Keyes";

pub(super) struct Thing {
    pub what: &'static str,
    pub kind: Kind,
    pub lender: &'static str,
    pub our_contact: &'static str,
    /// Dollars.
    pub value: i64,
    pub insured: Insured,
    pub is_single: bool,
    pub backup: &'static str,
    pub stands: &'static str,
    pub distance_ft: u32,
    /// The template's key of the task that needs it.
    pub task: &'static str,
    /// What was recorded: the step, whether for both dates or only burn day, days ago.
    pub steps: &'static [(Step, bool, i64)],
    /// Is it available on the rain date? None if nobody said.
    pub rain: Option<bool>,
    pub agreed: bool,
    pub counted: &'static [(&'static str, u32)],
}

const PLAIN: Thing = Thing {
    what: "",
    kind: Kind::Other,
    lender: "",
    our_contact: "Tomás Brandt",
    value: 0,
    insured: Insured::Us,
    is_single: false,
    backup: "",
    stands: "behind the crowd line",
    distance_ft: 90,
    task: "",
    steps: &[],
    rain: Some(true),
    agreed: true,
    counted: &[],
};

pub(super) const THINGS: [Thing; 8] = [
    Thing {
        what: "hand timers",
        kind: Kind::Timers,
        lender: "José Álvarez",
        our_contact: "Wren Ibarra",
        value: 60,
        stands: "with the timekeeper",
        task: "clock-sound-test",
        steps: &[(Step::Asked, true, 20), (Step::Promised, true, 19)],
        counted: &[("timer", 2), ("spare battery", 2)],
        ..PLAIN
    },
    Thing {
        what: "sports clock",
        kind: Kind::Clock,
        lender: COACH,
        our_contact: "Wren Ibarra",
        value: 1_850,
        is_single: true,
        stands: "on the timekeeper's table, facing the crowd",
        distance_ft: 60,
        task: "clock-sound-test",
        steps: &[(Step::Confirmed, false, 6)],
        rain: Some(false),
        counted: &[("remote", 1), ("power cord", 1), ("cable", 2)],
        ..PLAIN
    },
    Thing {
        what: "sound system",
        kind: Kind::Sound,
        lender: "Ottoline Baptiste",
        our_contact: "Odette Marsh",
        value: 2_400,
        insured: Insured::Lender,
        is_single: true,
        backup: "the bullhorn from Engine 2. Tomás Brandt brings it.",
        stands: "on tripods at both ends of the crowd line",
        task: "clock-sound-test",
        steps: &[(Step::Asked, true, 25), (Step::Promised, true, 18), (Step::Confirmed, true, 9)],
        counted: &[("wired microphone", 1), ("wireless microphone", 1), ("speaker", 2), ("stand", 2), ("cable", 4)],
        ..PLAIN
    },
    Thing {
        what: "barriers",
        kind: Kind::Barriers,
        lender: "Ottoline Baptiste",
        value: 3_600,
        insured: Insured::Lender,
        stands: "along the crowd line",
        steps: &[(Step::Asked, true, 25), (Step::Promised, true, 18)],
        counted: &[("barrier", 30)],
        ..PLAIN
    },
    Thing {
        what: "generator",
        kind: Kind::Power,
        lender: "Leocadia Brandt",
        value: 900,
        is_single: true,
        stands: "downwind, behind the vehicles",
        distance_ft: 150,
        task: "clock-sound-test",
        steps: &[(Step::Asked, true, 27), (Step::Promised, true, 20)],
        ..PLAIN
    },
    Thing {
        what: "tables and chairs",
        kind: Kind::Seats,
        lender: "Beatrix Svoboda",
        value: 400,
        insured: Insured::Open,
        steps: &[(Step::Asked, true, 11)],
        rain: None,
        agreed: false,
        counted: &[("table", 6), ("chair", 24)],
        ..PLAIN
    },
    Thing {
        what: "portable radios",
        kind: Kind::Radios,
        lender: "Thaddeus Rourke",
        our_contact: "Ana Ruiz",
        insured: Insured::Open,
        rain: None,
        agreed: false,
        ..PLAIN
    },
    Thing {
        what: "laser measure",
        lender: "Gideon Astley",
        value: 220,
        task: "site-plan",
        steps: &[(Step::Asked, false, 40), (Step::Promised, false, 38)],
        rain: None,
        agreed: false,
        counted: &[("charger", 1), ("case", 1)],
        ..PLAIN
    },
];
