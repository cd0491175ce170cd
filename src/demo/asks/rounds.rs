//! The questions that were asked, and how they were answered.

use crate::asks::{Kind, Said, Way};

/// How replies to a question come in, by turns: none yet, or the answer for burn day and for
/// the rain date, and how it came.
pub(super) type Turn = Option<(Said, Option<Said>, Way)>;

const CREW: [Turn; 8] = [
    Some((Said::Yes, Some(Said::Yes), Way::Link)),
    Some((Said::Yes, Some(Said::Maybe), Way::Link)),
    None,
    Some((Said::Yes, Some(Said::Yes), Way::Phone)),
    Some((Said::Maybe, None, Way::Link)),
    Some((Said::Yes, Some(Said::No), Way::Link)),
    Some((Said::No, Some(Said::Yes), Way::Link)),
    None,
];
const LOANS: [Turn; 4] = [
    Some((Said::Yes, Some(Said::Yes), Way::InPerson)),
    Some((Said::Yes, None, Way::Link)),
    None,
    Some((Said::Maybe, None, Way::Phone)),
];
const NEWS: [Turn; 3] = [None, Some((Said::Yes, None, Way::Phone)), None];

const HELP: [Turn; 4] = [
    Some((Said::Yes, None, Way::Link)),
    None,
    Some((Said::Yes, None, Way::InPerson)),
    Some((Said::Maybe, None, Way::Link)),
];

pub(super) struct Round {
    pub kind: Kind,
    pub question: &'static str,
    pub facts: &'static [(&'static str, &'static str)],
    pub both_dates: bool,
    /// Days ago.
    pub asked: i64,
    pub turns: &'static [Turn],
}

pub(super) const ROUNDS: [Round; 4] = [
    Round {
        kind: Kind::Post,
        question: "Can you walk the spectator line on burn day?",
        facts: &[
            ("Time", "08:30 to 12:30"),
            ("Where", "Alder Bend fairground, east lot"),
            ("With", "2 others, led by Ana Ruiz"),
            ("Bring", "Boots, a warm coat, and a high-visibility vest"),
        ],
        both_dates: true,
        asked: 24,
        turns: &CREW,
    },
    Round {
        kind: Kind::Loan,
        question: "Can you lend us something for the live burn?",
        facts: &[("Pickup", "We pick it up and bring it back.")],
        both_dates: true,
        asked: 27,
        turns: &LOANS,
    },
    Round {
        kind: Kind::Coverage,
        question: "Will you cover the live burn?",
        // Taken from the press facts.
        facts: &[],
        both_dates: false,
        asked: 3,
        turns: &NEWS,
    },
    Round {
        kind: Kind::Help,
        question: "Can you help guide visitors on burn day?",
        facts: &[
            ("Time", "08:00 to 13:00"),
            ("Where", "Alder Bend fairground, east lot"),
            ("Bring", "Warm clothes. We bring the vests."),
        ],
        both_dates: false,
        asked: 20,
        turns: &HELP,
    },
];
