//! Which duties one person can't have at the same time, and where that rule comes from.
//!
//! The table is data: in [`RULES`], read from the top, the first rule that fits a pair
//! counts. One row has a published source, named from memory: check it against the edition
//! the jurisdiction has adopted. All others are common practice without a source.

use crate::named::named;
use time::{Date, PrimitiveDateTime, Time};

named! {
    /// What someone does at a burn, in the words of the trade.
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
    /// The duty as people read it.
    #[must_use]
    pub const fn label(self) -> &'static str {
        match self {
            Self::SafetyOfficer => "Safety officer",
            Self::AssistantSafetyOfficer => "Assistant safety officer",
            Self::IncidentCommander => "Incident commander",
            Self::BurnBoss => "Burn boss",
            Self::IgnitionOfficer => "Ignition officer",
            Self::IgnitionLine => "Ignition line",
            Self::AttackLine => "Attack line",
            Self::BackUpLine => "Backup line",
            Self::RapidIntervention => "Rapid intervention",
            Self::PumpOperator => "Pump operator",
            Self::MedicalStandby => "Medical team",
            Self::Accountability => "Accountability",
            Self::WeatherWatcher => "Weather watcher",
            Self::Presenter => "Presenter",
            Self::Timekeeper => "Timekeeper",
            Self::InformationOfficer => "Public information officer",
            Self::MediaEscort => "Media escort",
            Self::CrowdSteward => "Crowd manager",
            Self::Gate => "Gate and materials",
            Self::Parking => "Parking",
            Self::LostChild => "Lost child area",
        }
    }

    /// What it involves, in a sentence to the person who is asked. Common practice, no
    /// source. The briefing on the day covers it in full.
    #[must_use]
    pub const fn does(self) -> &'static str {
        match self {
            Self::IncidentCommander => {
                "You are in charge of the whole burn. You decide go or no-go with the others who sign."
            }
            Self::SafetyOfficer => {
                "You watch for anything that can hurt someone, and you can stop the burn at any moment."
            }
            Self::BurnBoss => "You run the fire: fuel, ignition and the order of the rooms.",
            Self::AssistantSafetyOfficer => "You help the safety officer watch, and you can stop the burn too.",
            Self::IgnitionOfficer => "You light the room when the burn boss says so, in full turnout gear.",
            Self::IgnitionLine => "You hold a charged hose line next to the person who lights the room.",
            Self::AttackLine => "You hold the charged hose line that puts the fire out.",
            Self::BackUpLine => "You hold the second charged hose line, ready behind the first.",
            Self::RapidIntervention => "You stand ready in full gear to get a firefighter out.",
            Self::PumpOperator => "You run the pump and keep the water coming.",
            Self::MedicalStandby => "You stay with the ambulance, ready to help anyone who needs it.",
            Self::Accountability => "You keep track of who is in the fire area at every moment.",
            Self::WeatherWatcher => "You read wind, humidity and temperature, and report them on time.",
            Self::Presenter => "You explain to the audience what they are seeing, before, during and after the fire.",
            Self::Timekeeper => "You time the key moments: ignition, smoke alarm, sprinkler, flashover, fire out.",
            Self::InformationOfficer => "You look after reporters and answer their questions.",
            Self::MediaEscort => "You stay with reporters and keep them in the media staging area.",
            Self::CrowdSteward => "You keep spectators behind the line and show them where to stand.",
            Self::Gate => "You welcome people at the gate and hand out printed material.",
            Self::Parking => "You direct cars and keep the way clear for fire trucks.",
            Self::LostChild => "You look after lost children until someone from their group picks them up.",
        }
    }
}

/// From one wall-clock time to another, including the first and not the last. Someone who is
/// relieved at noon can start elsewhere at noon.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Hours {
    from: PrimitiveDateTime,
    until: PrimitiveDateTime,
}

impl Hours {
    /// None if it would end when it starts, or before.
    #[must_use]
    pub fn new(from: PrimitiveDateTime, until: PrimitiveDateTime) -> Option<Self> {
        (from < until).then_some(Self { from, until })
    }

    /// Hours that start on a day. If the end isn't later than the start, it is on the next
    /// day. None only at the end of the calendar.
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

    /// When they begin.
    #[must_use]
    pub const fn from(&self) -> PrimitiveDateTime {
        self.from
    }

    /// When they end.
    #[must_use]
    pub const fn until(&self) -> PrimitiveDateTime {
        self.until
    }

    /// Do the two share a moment?
    #[must_use]
    pub fn overlaps(&self, other: &Self) -> bool {
        self.from < other.until && other.from < self.until
    }

    /// Do these hours fall entirely within the others? Hours that touch count as one span.
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

/// Where a rule comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Basis {
    /// A published standard, named from memory.
    Published {
        /// The standard's number.
        standard: &'static str,
        /// What it is about.
        on: &'static str,
    },
    /// What departments do. No published source.
    CommonPractice,
}

impl Basis {
    /// The source, as a page names it.
    #[must_use]
    pub fn says(self) -> String {
        match self {
            Self::Published { standard, on } => {
                format!("{standard}, {on}; check the edition your jurisdiction has adopted")
            }
            Self::CommonPractice => "common practice".to_owned(),
        }
    }
}

/// The other duties that a rule is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Others {
    /// A second position with the same duty.
    Same,
    /// Every duty, its own too.
    All,
    /// Every duty but these.
    But(&'static [Duty]),
    /// These alone.
    Only(&'static [Duty]),
}

/// A rule that one person can't have two duties at the same time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rule {
    /// None for every duty.
    pub duty: Option<Duty>,
    /// The duties it excludes.
    pub others: Others,
    /// What to tell people, as half a sentence.
    pub words: &'static str,
    /// Where it comes from.
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
        words: "Two positions with the same duty at the same time need two people.",
        basis: Basis::CommonPractice,
    },
    Rule {
        duty: Some(Duty::SafetyOfficer),
        others: Others::All,
        words: "The safety officer has no other duty.",
        basis: Basis::Published { standard: "NFPA 1403", on: "live fire training" },
    },
    Rule::of(
        Duty::IncidentCommander,
        Others::But(&[Duty::BurnBoss]),
        "The incident commander does nothing else during the burn. In a small department, the same person may also be \
         burn boss.",
    ),
    Rule::of(
        Duty::BurnBoss,
        Others::But(&[Duty::IncidentCommander]),
        "The burn boss does nothing else during the burn. In a small department, the same person may also be incident \
         commander.",
    ),
    Rule::of(
        Duty::IgnitionOfficer,
        Others::Only(&[Duty::AttackLine]),
        "The ignition officer may work an attack line only at a different burn.",
    ),
    Rule::of(
        Duty::IgnitionOfficer,
        Others::All,
        "The ignition officer lights the fire and does nothing else at that time.",
    ),
    Rule::of(
        Duty::IgnitionLine,
        Others::Only(&[Duty::AttackLine]),
        "The ignition line may become the attack line only after the fire is lit.",
    ),
    Rule::of(
        Duty::RapidIntervention,
        Others::All,
        "Rapid intervention stays ready to get crew members out and does nothing else.",
    ),
    Rule::of(Duty::MedicalStandby, Others::All, "The medical team gives medical help and does nothing else."),
    Rule::of(Duty::IgnitionLine, Others::All, "Anyone on a hose line does nothing else at that time."),
    Rule::of(Duty::AttackLine, Others::All, "Anyone on a hose line does nothing else at that time."),
    Rule::of(Duty::BackUpLine, Others::All, "Anyone on a hose line does nothing else at that time."),
    Rule::of(Duty::PumpOperator, Others::All, "A pump operator stays at the pump."),
    Rule::of(Duty::Presenter, Others::All, "The presenter stays at the microphone."),
    Rule::of(Duty::Timekeeper, Others::All, "A timekeeper watches one room and nothing else."),
    Rule::of(Duty::InformationOfficer, Others::All, "The public information officer stays with the reporters."),
    Rule::of(
        Duty::AssistantSafetyOfficer,
        Others::But(&[Duty::WeatherWatcher]),
        "The assistant safety officer may also watch the weather, and does nothing else.",
    ),
    Rule::of(
        Duty::WeatherWatcher,
        Others::But(&[Duty::AssistantSafetyOfficer]),
        "The weather watcher may also be the assistant safety officer, and does nothing else.",
    ),
    Rule::of(Duty::Accountability, Others::All, "Whoever tracks accountability stays at the board."),
    Rule::of(Duty::LostChild, Others::All, "Whoever looks after lost children stays with them."),
    Rule::of(Duty::MediaEscort, Others::But(&[Duty::Gate]), "A media escort stays with the reporters."),
    Rule::of(Duty::CrowdSteward, Others::But(&[Duty::Gate]), "A crowd manager stays with the crowd."),
];

/// The rule against one person having both at the same time.
#[must_use]
pub fn rule(one: Duty, other: Duty) -> Option<&'static Rule> {
    RULES.iter().find(|rule| rule.fits(one, other) || rule.fits(other, one))
}

/// The rule against one person having both. None if the hours don't overlap.
///
/// ```
/// use burnday::calc::duties::{Duty, Hours, clash};
/// use time::macros::{date, time};
///
/// let hours = |from, until| Hours::on(date!(2027-01-02), from, until).unwrap();
/// let (lit, fought) = (hours(time!(10:00), time!(10:10)), hours(time!(10:10), time!(10:40)));
/// assert!(clash(Duty::IgnitionLine, &lit, Duty::AttackLine, &fought).is_none());
/// let rule = clash(Duty::IgnitionLine, &lit, Duty::AttackLine, &lit).unwrap();
/// assert_eq!(rule.words, "The ignition line may become the attack line only after the fire is lit.");
/// ```
#[must_use]
pub fn clash(one: Duty, its: &Hours, other: Duty, others: &Hours) -> Option<&'static Rule> {
    if its.overlaps(others) { rule(one, other) } else { None }
}

#[cfg(test)]
mod tests;
