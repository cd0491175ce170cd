//! Who is signed in, and what their role lets them do.

use super::Department;
use crate::db::journal::Actor;
use crate::named::named;

named! {
    /// What someone may do. The education officer may do everything except sign for the
    /// safety officer and the burn boss.
    Role, "Choose a role.", ROLES: [
        EducationOfficer = "education officer",
        InformationOfficer = "information officer",
        SafetyOfficer = "safety officer",
        BurnBoss = "burn boss",
        IncidentCommander = "incident commander",
        CrewLead = "crew lead",
        Timekeeper = "timekeeper",
        Reader = "reader",
    ]
}

/// Someone who is signed in.
#[derive(Debug, Clone)]
pub struct User {
    pub account_id: i64,
    pub person_id: i64,
    pub name: String,
    pub role: Role,
    pub department: Department,
}

impl User {
    #[must_use]
    pub fn is_officer(&self) -> bool {
        self.role == Role::EducationOfficer
    }

    /// Everyone but a reader changes something.
    #[must_use]
    pub fn works(&self) -> bool {
        self.role != Role::Reader
    }

    /// Not everyone may see people's addresses, phone numbers, and needs.
    #[must_use]
    pub fn sees_people(&self) -> bool {
        self.keeps_people() || self.commands() || matches!(self.role, Role::SafetyOfficer | Role::CrewLead)
    }

    /// Is this user in charge on the ground?
    #[must_use]
    pub fn commands(&self) -> bool {
        matches!(self.role, Role::BurnBoss | Role::IncidentCommander)
    }

    /// Who may change the fire estimate and the site.
    #[must_use]
    pub fn plans_burn(&self) -> bool {
        matches!(self.role, Role::EducationOfficer | Role::SafetyOfficer | Role::BurnBoss)
    }

    /// Who may accept what a check found, with a reason.
    #[must_use]
    pub fn accepts_risk(&self) -> bool {
        self.role == Role::SafetyOfficer
    }

    #[must_use]
    pub fn keeps_people(&self) -> bool {
        matches!(self.role, Role::EducationOfficer | Role::InformationOfficer)
    }

    #[must_use]
    pub fn actor(&self) -> Actor {
        Actor::Account(self.account_id)
    }
}
