//! What can be chosen for a task: its strand, who is responsible, its status, how its days are
//! counted, and what the rain date does to it.

use crate::calc::calendar::Basis;
use crate::calc::plan::RainRule;
use crate::named::named;

named! {
    /// A group of tasks.
    Strand, "Choose a strand.", STRANDS: [
        Approval = "Approval",
        Site = "Site and permits",
        Rooms = "Rooms",
        Loans = "Loans",
        Crew = "Crew",
        Guests = "Guests",
        Press = "Press",
        Teaching = "Teaching",
        Rehearsal = "Rehearsal",
        BurnDay = "Burn day",
        Afterwards = "Afterwards",
    ]
}

named! {
    /// Who is responsible for a task, by role in the burn.
    Owner, "Choose who is responsible.", OWNERS: [
        EducationOfficer = "education officer",
        InformationOfficer = "information officer",
        SafetyOfficer = "safety officer",
        BurnBoss = "burn boss",
        Presenter = "presenter",
        Timekeeper = "timekeeper",
        CrewLead = "crew lead",
        FireChief = "fire chief",
        Volunteers = "volunteers",
        WholeCrew = "whole crew",
    ]
}

named! {
    /// The status of a task.
    TaskState, "Choose a status.", STATES: [
        ToDo = "to do",
        Waiting = "waiting",
        Done = "done",
        NotNeeded = "not needed",
    ]
}

named! {
    /// How days are counted, in forms and in the store.
    Days, "Choose calendar or working days.", DAYS: [
        Calendar = "calendar",
        Working = "working",
    ]
}

named! {
    /// What using the rain date does to a task that is done.
    Rain, "Choose what happens if the rain date is used.", RAINS: [
        Keep = "keep",
        Redo = "redo",
        Shift = "shift",
    ]
}

impl Strand {
    /// What people read.
    #[must_use]
    pub const fn label(self) -> &'static str {
        match self {
            Self::Afterwards => "After the burn",
            other => other.as_str(),
        }
    }
}

impl Days {
    pub(super) fn basis(self) -> Basis {
        if self == Self::Working { Basis::Working } else { Basis::Calendar }
    }

    pub(super) fn of(basis: Basis) -> Self {
        if basis == Basis::Working { Self::Working } else { Self::Calendar }
    }
}

impl Rain {
    pub(super) fn rule(self) -> RainRule {
        match self {
            Self::Keep => RainRule::Keep,
            Self::Redo => RainRule::Redo,
            Self::Shift => RainRule::Shift,
        }
    }

    pub(super) fn says(self) -> &'static str {
        match self {
            Self::Keep => "stays done",
            Self::Redo => "must be done again",
            Self::Shift => "moves with the date; tell the people involved",
        }
    }
}
