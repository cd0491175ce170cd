//! Who is invited.

use crate::asks::{Said, Way};
use crate::guests::{Gives, Side};

/// The answer for one date.
type Word = Option<Said>;

pub(super) struct Invited {
    pub name: &'static str,
    pub side: Side,
    /// The level of a sponsor.
    pub level: &'static str,
    pub since: &'static str,
    pub is_former: bool,
    /// Seconds, what happens when time is short, shortest time in seconds, priority.
    pub speaks: (u32, Gives, u32, u8),
    pub responsible: &'static str,
    pub seat: &'static str,
    /// The answers for burn day and for the rain date, and how they came; none if not asked.
    pub answer: Option<(Word, Word, Way)>,
}

impl Invited {
    pub(super) fn is_silent(&self) -> bool {
        matches!(self.answer, Some((None | Some(Said::Maybe), ..)))
    }
}

const fn official(name: &'static str, since: &'static str) -> Invited {
    Invited {
        name,
        side: Side::Official,
        level: "",
        since,
        is_former: false,
        speaks: (0, Gives::Either, 0, 3),
        responsible: "",
        seat: "",
        answer: None,
    }
}

const fn sponsor(name: &'static str, level: &'static str) -> Invited {
    Invited { side: Side::Sponsor, level, ..official(name, "") }
}

pub(super) const GUESTS: [Invited; 17] = [
    Invited {
        speaks: (120, Gives::Fixed, 120, 1),
        responsible: "Priya Okafor",
        seat: "Front row, next to the fire chief",
        answer: Some((Some(Said::Yes), Some(Said::Yes), Way::Link)),
        ..official("Marguerite Vance", "2021-01-04")
    },
    Invited {
        speaks: (120, Gives::Either, 60, 3),
        seat: "Front row, left of the aisle",
        answer: Some((Some(Said::Yes), Some(Said::Maybe), Way::Letter)),
        ..official("Ingrid Solberg-Wray", "2011")
    },
    Invited {
        speaks: (60, Gives::Drop, 0, 4),
        answer: Some((Some(Said::Yes), None, Way::Phone)),
        ..official("Cassius Oduya", "2019")
    },
    Invited {
        speaks: (120, Gives::Either, 60, 2),
        responsible: "Priya Okafor",
        answer: Some((Some(Said::Deputy), Some(Said::Yes), Way::Link)),
        ..official("Yusra Halloran", "2017")
    },
    Invited {
        responsible: "Jun Castellane",
        answer: Some((Some(Said::Maybe), Some(Said::Yes), Way::Phone)),
        ..official("Obadiah Crane", "2023")
    },
    Invited {
        speaks: (60, Gives::Either, 30, 4),
        answer: Some((Some(Said::Yes), Some(Said::Yes), Way::Link)),
        ..official("נועה שמש", "2019-05-07")
    },
    Invited { answer: Some((None, None, Way::Link)), ..official("Teodora Lindqvist", "2015") },
    Invited { answer: Some((Some(Said::No), Some(Said::No), Way::Mail)), ..official("Hollis Pruett", "2020") },
    Invited {
        is_former: true,
        speaks: (90, Gives::Drop, 0, 6),
        answer: Some((Some(Said::Yes), None, Way::InPerson)),
        ..official("Cornelius Bartholomew Abernathy-Featherstonehaugh van der Westhuizen", "2005")
    },
    Invited { responsible: "Priya Okafor", ..official("Florian Takahashi-Reyes", "2025") },
    official("Gwendolyn Achebe", "2018"),
    Invited { answer: Some((Some(Said::Yes), Some(Said::Yes), Way::Link)), ..sponsor("Bartholomew Singh", "lead") },
    Invited {
        speaks: (60, Gives::Drop, 0, 5),
        answer: Some((Some(Said::Yes), None, Way::Link)),
        ..sponsor("Anselm Fairweather", "major")
    },
    Invited { answer: Some((None, None, Way::Link)), ..sponsor("Leocadia Brandt", "supporting") },
    Invited { answer: Some((Some(Said::Yes), None, Way::Phone)), ..sponsor("Gideon Astley", "supporting") },
    sponsor("Philippa Nakamura", "supporting"),
    Invited {
        side: Side::Partner,
        answer: Some((Some(Said::Yes), Some(Said::Yes), Way::Link)),
        ..official("Emeka Lindgren", "")
    },
];
