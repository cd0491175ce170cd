//! Which duties one person can't hold in the same hours, and what says so.
//!
//! The table is data: [`RULES`], read from the top, the first that fits a pair
//! counts. One row has a published basis, and that from memory: it is to be
//! checked against the edition the authority has adopted. All others are common
//! practice without a source.

use crate::named::named;
use time::{Date, PrimitiveDateTime, Time};

named! {
    /// What somebody does at a burn, in the trade's words.
    Duty, "Choose a duty.", DUTIES: [
        SafetyOfficer = "safety officer",
        AssistantSafetyOfficer = "assistant safety officer",
        IncidentCommander = "incident commander",
        BurnBoss = "burn boss",
        IgnitionOfficer = "ignition officer",
        IgnitionLine = "ignition line",
        AttackLine = "attack line",
        BackUpLine = "back-up line",
        RapidIntervention = "rapid intervention",
        PumpOperator = "pump operator",
        MedicalStandby = "medical standby",
        Accountability = "accountability",
        WeatherWatcher = "weather watcher",
        Presenter = "presenter",
        Timekeeper = "timekeeper",
        InformationOfficer = "public information officer",
        MediaEscort = "media escort",
        CrowdSteward = "crowd steward",
        Gate = "gate and materials",
        Parking = "parking",
        LostChild = "lost-child point",
    ]
}

impl Duty {
    /// What whoever has it does, in a sentence for somebody who is asked. Common
    /// practice, no source; the briefing on the day says it in full.
    #[must_use]
    pub const fn does(self) -> &'static str {
        match self {
            Self::IncidentCommander => {
                "You are in charge of the whole burn, and decide go or no-go with the others who sign."
            }
            Self::SafetyOfficer => {
                "You watch for anything that can hurt somebody, and can stop the burn at any moment."
            }
            Self::BurnBoss => "You run the fire: fuel, ignition and the order of the rooms.",
            Self::AssistantSafetyOfficer => "You help the safety officer watch, and can stop the burn as well.",
            Self::IgnitionOfficer => "You light the room when the burn boss says so, in full turnout gear.",
            Self::IgnitionLine => "You hold a charged hose line beside whoever lights the room.",
            Self::AttackLine => "You hold the charged hose line that puts the fire out.",
            Self::BackUpLine => "You hold the second charged hose line, ready behind the first.",
            Self::RapidIntervention => "You stand ready in full gear to get a firefighter out.",
            Self::PumpOperator => "You run the pump and keep the water coming.",
            Self::MedicalStandby => "You stand by with the medical unit, and look after anybody who needs help.",
            Self::Accountability => "You keep track of who is inside the fire area at every moment.",
            Self::WeatherWatcher => "You read wind, humidity and temperature, and report them on time.",
            Self::Presenter => "You explain to the audience what they see, before, during and after the fire.",
            Self::Timekeeper => "You time the key moments: ignition, smoke alarm, sprinkler, flashover, fire out.",
            Self::InformationOfficer => "You look after reporters, and answer their questions.",
            Self::MediaEscort => "You stay with reporters and keep them in the press area.",
            Self::CrowdSteward => "You keep spectators behind the line, and show people where to stand.",
            Self::Gate => "You welcome people at the gate and hand out the printed material.",
            Self::Parking => "You direct cars and keep the way clear for fire trucks.",
            Self::LostChild => "You look after children who lost their group until they are picked up.",
        }
    }
}

/// From one wall-clock time to another: the first belongs to it, the last
/// doesn't. So one who is relieved at noon can go on elsewhere at noon.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Hours {
    from: PrimitiveDateTime,
    until: PrimitiveDateTime,
}

impl Hours {
    /// None if it would end before it begins, or at once.
    #[must_use]
    pub fn new(from: PrimitiveDateTime, until: PrimitiveDateTime) -> Option<Self> {
        (from < until).then_some(Self { from, until })
    }

    /// Hours that begin on a day; if they end no later than they began, they
    /// pass midnight. None at the end of the calendar alone.
    ///
    /// ```
    /// use burnday::calc::duties::Hours;
    /// use time::macros::{date, datetime, time};
    ///
    /// let night = Hours::on(date!(2027-01-02), time!(22:00), time!(2:00)).unwrap();
    /// assert_eq!(night.until(), datetime!(2027-01-03 2:00));
    /// ```
    #[must_use]
    pub fn on(day: Date, from: Time, until: Time) -> Option<Self> {
        let last = if until <= from { day.next_day()? } else { day };
        Self::new(PrimitiveDateTime::new(day, from), PrimitiveDateTime::new(last, until))
    }

    #[must_use]
    pub const fn from(&self) -> PrimitiveDateTime {
        self.from
    }

    #[must_use]
    pub const fn until(&self) -> PrimitiveDateTime {
        self.until
    }

    /// Is there a moment that belongs to both?
    #[must_use]
    pub fn overlaps(&self, other: &Self) -> bool {
        self.from < other.until && other.from < self.until
    }

    /// Is there no moment of theirs outside these? What touches counts as one.
    #[must_use]
    pub fn are_within(&self, all: &[Self]) -> bool {
        let mut sorted = all.to_vec();
        sorted.sort_unstable();
        let mut covered = self.from;
        for hours in sorted {
            if hours.from > covered {
                break;
            }
            covered = covered.max(hours.until);
        }
        covered >= self.until
    }
}

/// What a rule rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Basis {
    /// A published standard, from memory.
    Published { standard: &'static str, on: &'static str },
    /// What departments do; no published source.
    CommonPractice,
}

impl Basis {
    #[must_use]
    pub fn says(self) -> String {
        match self {
            Self::Published { standard, on } => {
                format!("{standard}, {on}; from memory: check against the edition your authority has adopted")
            }
            Self::CommonPractice => "common practice".to_owned(),
        }
    }
}

/// The other duties that a rule is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Others {
    /// A second post of the same duty.
    Same,
    All,
    But(&'static [Duty]),
    Only(&'static [Duty]),
}

/// What keeps one person from holding two duties in the same hours.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rule {
    /// None for each duty.
    pub duty: Option<Duty>,
    pub others: Others,
    pub words: &'static str,
    pub basis: Basis,
}

impl Rule {
    const fn of(duty: Duty, others: Others, words: &'static str) -> Self {
        Self { duty: Some(duty), others, words, basis: Basis::CommonPractice }
    }

    fn fits(&self, one: Duty, other: Duty) -> bool {
        let is_about = match self.others {
            Others::Same => one == other,
            Others::All => true,
            Others::But(those) => !those.contains(&other),
            Others::Only(those) => those.contains(&other),
        };
        is_about && self.duty.is_none_or(|duty| duty == one)
    }
}

/// The table.
pub const RULES: &[Rule] = &[
    Rule {
        duty: None,
        others: Others::Same,
        words: "Two posts of one duty in the same hours need two people.",
        basis: Basis::CommonPractice,
    },
    Rule {
        duty: Some(Duty::SafetyOfficer),
        others: Others::All,
        words: "The safety officer holds no other duty.",
        basis: Basis::Published { standard: "NFPA 1403", on: "live fire training" },
    },
    Rule::of(
        Duty::IncidentCommander,
        Others::But(&[Duty::BurnBoss]),
        "The incident commander holds nothing else during the burn; in a small department the burn boss may be the \
         same person.",
    ),
    Rule::of(
        Duty::BurnBoss,
        Others::But(&[Duty::IncidentCommander]),
        "The burn boss holds nothing else; in a small department the incident commander may be the same person.",
    ),
    Rule::of(
        Duty::IgnitionOfficer,
        Others::Only(&[Duty::AttackLine]),
        "The ignition officer is on the attack line of a different burn only.",
    ),
    Rule::of(
        Duty::IgnitionOfficer,
        Others::All,
        "The ignition officer lights the fire and does nothing else meanwhile.",
    ),
    Rule::of(
        Duty::IgnitionLine,
        Others::Only(&[Duty::AttackLine]),
        "The ignition line may become the attack line once the fire is lit, not before.",
    ),
    Rule::of(
        Duty::RapidIntervention,
        Others::All,
        "Rapid intervention stands ready for the crew and does nothing else.",
    ),
    Rule::of(Duty::MedicalStandby, Others::All, "Whoever stands by to give medical help is none of the crew."),
    Rule::of(Duty::IgnitionLine, Others::All, "Whoever is on a line does nothing else meanwhile."),
    Rule::of(Duty::AttackLine, Others::All, "Whoever is on a line does nothing else meanwhile."),
    Rule::of(Duty::BackUpLine, Others::All, "Whoever is on a line does nothing else meanwhile."),
    Rule::of(Duty::PumpOperator, Others::All, "A pump operator stays at the pump."),
    Rule::of(Duty::Presenter, Others::All, "The presenter stays at the microphone."),
    Rule::of(Duty::Timekeeper, Others::All, "A timekeeper watches one room and nothing else."),
    Rule::of(Duty::InformationOfficer, Others::All, "The public information officer stays with the press."),
    Rule::of(
        Duty::AssistantSafetyOfficer,
        Others::But(&[Duty::WeatherWatcher]),
        "The assistant safety officer may watch the weather and does nothing else.",
    ),
    Rule::of(
        Duty::WeatherWatcher,
        Others::But(&[Duty::AssistantSafetyOfficer]),
        "The weather watcher may be the assistant safety officer and nothing else.",
    ),
    Rule::of(Duty::Accountability, Others::All, "Whoever keeps count of the crew stays at the board."),
    Rule::of(Duty::LostChild, Others::All, "Whoever minds lost children stays with them."),
    Rule::of(Duty::MediaEscort, Others::But(&[Duty::Gate]), "A media escort stays with the press they escort."),
    Rule::of(Duty::CrowdSteward, Others::But(&[Duty::Gate]), "A crowd steward stays with the crowd."),
];

/// What keeps one person from holding both in the same hours.
#[must_use]
pub fn rule(one: Duty, other: Duty) -> Option<&'static Rule> {
    RULES.iter().find(|rule| rule.fits(one, other) || rule.fits(other, one))
}

/// What keeps one person from holding both: nothing, if the hours don't
/// overlap.
///
/// ```
/// use burnday::calc::duties::{Duty, Hours, clash};
/// use time::macros::{date, time};
///
/// let hours = |from, until| Hours::on(date!(2027-01-02), from, until).unwrap();
/// let (lit, fought) = (hours(time!(10:00), time!(10:10)), hours(time!(10:10), time!(10:40)));
/// assert!(clash(Duty::IgnitionLine, &lit, Duty::AttackLine, &fought).is_none());
/// let rule = clash(Duty::IgnitionLine, &lit, Duty::AttackLine, &lit).unwrap();
/// assert_eq!(rule.words, "The ignition line may become the attack line once the fire is lit, not before.");
/// ```
#[must_use]
pub fn clash(one: Duty, its: &Hours, other: Duty, others: &Hours) -> Option<&'static Rule> {
    if its.overlaps(others) { rule(one, other) } else { None }
}

#[cfg(test)]
mod tests;
