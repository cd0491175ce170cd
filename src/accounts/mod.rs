//! Who may do what: accounts, roles, sign-ins, and invitations.

mod device;
mod home;
mod password;
mod routes;
mod sees;
mod session;
mod store;

use crate::calc::homes::Home;
use crate::named::named;

pub use home::{FIELDS as HOME_FIELDS, HomeForm};
pub use password::{
    Own, check as check_password, hash as hash_password, is_own as is_own_password, verify as verify_password,
};
pub use routes::{dead_link, private, router, zone};
pub use sees::Private;
pub use session::{
    Officer, PeopleKeeper, PeopleReader, SignedIn, Visit, Worker, end as end_session_cookie,
    require as require_sign_in, sweep as sweep_sign_ins,
};
pub use store::{
    Account, Change, Holder, Refused, change_password, department, department_in, end_sign_ins, find, find_by_mail,
    forget, holders, invite, is_entered_by_password, list, list_in, make_link, move_person, of_person, save,
    save_department, set_up, set_up_link,
};

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

/// The department that this installation belongs to.
#[derive(Debug, Clone, Default)]
pub struct Department {
    pub name: String,
    /// IANA name of its time zone.
    pub zone: String,
    /// The phone that someone with a dead link can call; may be empty.
    pub phone: String,
    /// Where the department is: whose officials are local.
    pub home: Home,
    pub version: i64,
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
    pub fn actor(&self) -> crate::db::journal::Actor {
        crate::db::journal::Actor::Account(self.account_id)
    }
}

/// What a link lets someone do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Purpose {
    /// Create the department and its first account.
    SetUp,
    /// Choose the first password of an account.
    Invitation,
    /// Choose a new password.
    Password,
    /// Enter the demo in a role; works more than once.
    Demo,
}

impl Purpose {
    #[must_use]
    pub fn as_str(self) -> &'static str {
        match self {
            Self::SetUp => "set-up",
            Self::Invitation => "invitation",
            Self::Password => "password",
            Self::Demo => "demo",
        }
    }

    fn lasts(self) -> time::Duration {
        match self {
            Self::SetUp => time::Duration::days(1),
            Self::Invitation => time::Duration::days(14),
            Self::Password => time::Duration::HOUR,
            Self::Demo => time::Duration::days(30),
        }
    }

    /// Where a link of this purpose leads.
    #[must_use]
    pub fn path(self) -> &'static str {
        match self {
            Self::SetUp => "/set-up",
            Self::Invitation => "/invitation",
            Self::Password => "/new-password",
            Self::Demo => "/enter",
        }
    }
}
