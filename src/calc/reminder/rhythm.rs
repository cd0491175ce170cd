//! Whom to remind when. Common practice, no published source: these are a starting point,
//! and each department has its own habits.

use super::Kind::{Ask, Chase, LastWord, Remind};
use super::{By, CountedFrom, Kind, Rule};
use crate::calc::calendar::Basis;
use time::Time;
use time::macros::time;

/// Groups of people, each reminded on its own schedule.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Whom {
    /// State and federal officials, who are asked earlier.
    StateOfficials,
    LocalOfficials,
    Crew,
    Volunteers,
    Media,
    Lenders,
    /// People asked to donate furniture or material. We pick it up long before burn day, so
    /// they need no reminder once they have promised it.
    Givers,
    /// Burn-day decisions are posted in one place, so there is no final check.
    Public,
}

const MORNING: Time = time!(9:00);
/// As early as the usual quiet hours allow.
const EARLY: Time = time!(8:00);
const EVENING: Time = time!(18:00);

const fn mail(kind: Kind, days: u16, at: Time) -> Rule {
    Rule { kind, by: By::Mail, from: CountedFrom::BurnDay, days, basis: Basis::Calendar, at }
}

/// We follow up with officials through their staff.
const fn phone(kind: Kind, days: u16) -> Rule {
    Rule { by: By::Phone, ..mail(kind, days, MORNING) }
}

const STATE_OFFICIALS: [Rule; 4] =
    [mail(Ask, 70, MORNING), phone(Chase, 21), mail(Remind, 5, MORNING), phone(LastWord, 1)];
const LOCAL_OFFICIALS: [Rule; 4] =
    [mail(Ask, 56, MORNING), phone(Chase, 21), mail(Remind, 5, MORNING), phone(LastWord, 1)];
const CREW: [Rule; 5] = [
    mail(Ask, 76, MORNING),
    mail(Chase, 21, MORNING),
    mail(Remind, 5, MORNING),
    mail(LastWord, 2, MORNING),
    mail(LastWord, 0, EARLY),
];
const VOLUNTEERS: [Rule; 5] = [
    mail(Ask, 60, MORNING),
    mail(Chase, 30, MORNING),
    mail(Remind, 5, MORNING),
    mail(LastWord, 2, MORNING),
    mail(LastWord, 1, EVENING),
];
const MEDIA: [Rule; 4] = [
    mail(Ask, 14, MORNING),
    mail(Chase, 3, MORNING),
    Rule { basis: Basis::Working, ..mail(Remind, 1, MORNING) },
    mail(LastWord, 0, EARLY),
];
/// The final check comes before pickup.
const LENDERS: [Rule; 4] =
    [mail(Ask, 62, MORNING), mail(Chase, 35, MORNING), mail(Remind, 5, MORNING), mail(LastWord, 2, MORNING)];
const GIVERS: [Rule; 3] = [mail(Ask, 62, MORNING), mail(Chase, 40, MORNING), mail(Chase, 26, MORNING)];
const PUBLIC: [Rule; 2] = [mail(Ask, 35, MORNING), mail(Remind, 7, MORNING)];

impl Whom {
    pub const ALL: [Self; 8] = [
        Self::StateOfficials,
        Self::LocalOfficials,
        Self::Crew,
        Self::Volunteers,
        Self::Media,
        Self::Lenders,
        Self::Givers,
        Self::Public,
    ];

    /// Their rules, from the question to the final check.
    #[must_use]
    pub const fn rules(self) -> &'static [Rule] {
        match self {
            Self::StateOfficials => &STATE_OFFICIALS,
            Self::LocalOfficials => &LOCAL_OFFICIALS,
            Self::Crew => &CREW,
            Self::Volunteers => &VOLUNTEERS,
            Self::Media => &MEDIA,
            Self::Lenders => &LENDERS,
            Self::Givers => &GIVERS,
            Self::Public => &PUBLIC,
        }
    }
}
