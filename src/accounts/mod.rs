//! Who may do what: accounts, roles, sign-ins, invitations.

mod password;
mod routes;
mod session;
mod store;

use std::fmt;
use std::str::FromStr;

pub use password::{check as check_password, hash as hash_password, verify as verify_password};
pub use routes::{router, zone};
pub use session::{Officer, SignedIn, Visit, Worker, end as end_session_cookie};
pub use store::{
    Account, Change, Refused, change_password, department, end_sign_ins, find, find_by_mail, has_password, invite,
    list, list_in, make_link, save, save_department, set_up, set_up_link,
};

/// What somebody may do. The education officer may do everything.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Role {
    EducationOfficer,
    InformationOfficer,
    SafetyOfficer,
    CrewLead,
    Timekeeper,
    Reader,
}

impl Role {
    pub const ALL: [Self; 6] = [
        Self::EducationOfficer,
        Self::InformationOfficer,
        Self::SafetyOfficer,
        Self::CrewLead,
        Self::Timekeeper,
        Self::Reader,
    ];

    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::EducationOfficer => "education officer",
            Self::InformationOfficer => "information officer",
            Self::SafetyOfficer => "safety officer",
            Self::CrewLead => "crew lead",
            Self::Timekeeper => "timekeeper",
            Self::Reader => "reader",
        }
    }
}

impl fmt::Display for Role {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

impl FromStr for Role {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        Self::ALL.into_iter().find(|role| role.as_str() == text).ok_or_else(|| "Choose a role.".to_owned())
    }
}

/// The one department of this installation.
#[derive(Debug, Clone, Default)]
pub struct Department {
    pub name: String,
    /// IANA name of its time zone.
    pub zone: String,
    /// Whom a stranger with a dead link can ring; may be empty.
    pub phone: String,
    pub version: i64,
}

/// Somebody signed in.
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

    #[must_use]
    pub fn actor(&self) -> crate::db::journal::Actor {
        crate::db::journal::Actor::Account(self.account_id)
    }
}

/// What a link lets somebody do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Purpose {
    /// Make the department and its first account.
    SetUp,
    /// Choose the first password of an account.
    Invitation,
    /// Choose a new password.
    Password,
    /// Enter the demo in a role; can be used again.
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
