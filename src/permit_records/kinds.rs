//! What can be chosen for a permit or notice: its type, what the authority said about notice,
//! how days are counted, and which dates must be on it.

use crate::calc::calendar::Basis;
use crate::calc::notice::Counted;
use crate::named::named;

named! {
    /// What type of paper it is.
    Kind, "Choose a type.", KINDS: [
        Permit = "permit",
        Notice = "notice",
        Answer = "written answer",
        Other = "other",
    ]
}

named! {
    /// What we know about the notice required.
    RuleKind, "Choose what the authority said.", RULES: [
        NotAsked = "not yet asked",
        None = "none",
        Days = "days before",
    ]
}

named! {
    /// How days are counted.
    DayKind, "Choose working or calendar days.", DAY_KINDS: [
        Working = "working",
        Calendar = "calendar",
    ]
}

named! {
    /// What the days are counted from.
    CountedWhen, "Choose the day you send it or the day they receive it.", COUNTED_WHEN: [
        Sent = "sent",
        Received = "received",
    ]
}

named! {
    /// Which dates must be on it.
    DatesOnIt, "Choose which dates must be on it.", DATES_ON_IT: [
        BurnDay = "burn day",
        RainDate = "rain date",
        Both = "both",
    ]
}

impl RuleKind {
    /// As people read it.
    #[must_use]
    pub fn label(self) -> &'static str {
        match self {
            Self::NotAsked => "Not asked yet",
            Self::None => "No notice required",
            Self::Days => "Notice required",
        }
    }
}

impl DatesOnIt {
    /// As people read it.
    #[must_use]
    pub fn label(self) -> &'static str {
        match self {
            Self::BurnDay => "burn day",
            Self::RainDate => "rain date",
            Self::Both => "burn day and rain date",
        }
    }

    #[must_use]
    pub fn wants_burn_day(self) -> bool {
        self != Self::RainDate
    }

    #[must_use]
    pub fn wants_rain_date(self) -> bool {
        self != Self::BurnDay
    }
}

impl DayKind {
    #[must_use]
    pub fn basis(self) -> Basis {
        if self == Self::Working { Basis::Working } else { Basis::Calendar }
    }

    #[must_use]
    pub fn of(basis: Basis) -> Self {
        if basis == Basis::Working { Self::Working } else { Self::Calendar }
    }
}

impl CountedWhen {
    /// As people read it.
    #[must_use]
    pub fn label(self) -> &'static str {
        match self {
            Self::Sent => "the day you send it",
            Self::Received => "the day they receive it",
        }
    }

    #[must_use]
    pub fn counted(self) -> Counted {
        if self == Self::Sent { Counted::Sent } else { Counted::Received }
    }

    #[must_use]
    pub fn of(counted: Counted) -> Self {
        if counted == Counted::Sent { Self::Sent } else { Self::Received }
    }
}
