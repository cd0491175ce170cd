//! Whom to remind when. Common practice, no published source: these are a starting point,
//! and each department has its own habits.
//!
//! A new rule is one line here. Its key is what the store, the form, and the keys of sent
//! reminders know it by, so it never changes and no other rule of the same people has it.

use super::Kind::{Chase, LastWord, Remind};
use super::{By, Kind, Rule};
use crate::calc::calendar::Basis;
use time::Time;
use time::macros::time;

/// Groups of people, each reminded on its own schedule.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Whom {
    /// People asked to work.
    Crew,
    /// Officials and sponsors.
    Guests,
    /// People asked to lend something.
    Lenders,
    /// Newsrooms.
    Media,
    /// People asked to help.
    Volunteers,
    /// People asked to donate furniture or material. We pick it up long before burn day, so
    /// they need no reminder once they have promised it.
    Givers,
}

const MORNING: Time = time!(9:00);
/// As early as the usual quiet hours allow.
const EARLY: Time = time!(8:00);
const EVENING: Time = time!(18:00);

const fn mail(key: &'static str, kind: Kind, days: u16, at: Time) -> Rule {
    Rule { key, kind, by: By::Mail, days, basis: Basis::Calendar, at }
}

/// We follow up with officials through their staff.
const fn phone(key: &'static str, kind: Kind, days: u16) -> Rule {
    Rule { by: By::Phone, ..mail(key, kind, days, MORNING) }
}

/// How many calendar days before burn day the crew is asked. No rule does that.
pub const CREW_ASKED: u16 = 76;
/// When crew members who haven't answered are asked again.
pub const CREW_ASKED_AGAIN: Rule = mail("ask-again", Chase, 21, MORNING);
/// When crew members who said yes are asked whether they are still coming.
pub const CREW_FINAL_CHECK: Rule = mail("final-check", LastWord, 2, MORNING);

const CREW: [Rule; 4] =
    [CREW_ASKED_AGAIN, mail("remind", Remind, 5, MORNING), CREW_FINAL_CHECK, mail("burn-day", LastWord, 0, EARLY)];
const GUESTS: [Rule; 3] =
    [phone("ask-again", Chase, 21), mail("remind", Remind, 5, MORNING), phone("final-check", LastWord, 1)];
/// The final check comes before pickup.
const LENDERS: [Rule; 3] = [
    mail("ask-again", Chase, 35, MORNING),
    mail("remind", Remind, 5, MORNING),
    mail("final-check", LastWord, 2, MORNING),
];
const MEDIA: [Rule; 3] = [
    mail("ask-again", Chase, 3, MORNING),
    Rule { basis: Basis::Working, ..mail("remind", Remind, 1, MORNING) },
    mail("burn-day", LastWord, 0, EARLY),
];
const VOLUNTEERS: [Rule; 4] = [
    mail("ask-again", Chase, 30, MORNING),
    mail("remind", Remind, 5, MORNING),
    mail("final-check", LastWord, 2, MORNING),
    mail("evening-before", LastWord, 1, EVENING),
];
const GIVERS: [Rule; 2] = [mail("ask-again", Chase, 40, MORNING), mail("ask-once-more", Chase, 26, MORNING)];

impl Whom {
    /// All of them.
    pub const ALL: [Self; 6] = [Self::Crew, Self::Guests, Self::Lenders, Self::Media, Self::Volunteers, Self::Givers];

    /// Their rules, from asking again to the final check.
    #[must_use]
    pub const fn rules(self) -> &'static [Rule] {
        match self {
            Self::Crew => &CREW,
            Self::Guests => &GUESTS,
            Self::Lenders => &LENDERS,
            Self::Media => &MEDIA,
            Self::Volunteers => &VOLUNTEERS,
            Self::Givers => &GIVERS,
        }
    }

    /// The rule with this key.
    #[must_use]
    pub fn rule(self, key: &str) -> Option<&'static Rule> {
        self.rules().iter().find(|rule| rule.key == key)
    }
}
