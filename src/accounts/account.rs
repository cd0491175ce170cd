//! An account, and changes to it.

use super::Role;

/// An account as the education officer sees it.
#[derive(Debug, Clone)]
pub struct Account {
    pub id: i64,
    pub person_id: i64,
    pub name: String,
    pub mail: String,
    pub role: Role,
    /// Has a password: the invitation was accepted.
    pub joined: bool,
    pub disabled: bool,
    pub sign_ins: i64,
    pub version: i64,
}

/// Someone who holds a role and whose account isn't disabled.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Holder {
    pub role: Role,
    pub person_id: i64,
    pub name: String,
}

/// What the education officer may change in an account.
#[derive(Debug, Clone)]
pub struct Change {
    pub name: String,
    pub mail: String,
    pub role: Role,
    pub disabled: bool,
}

/// Why a change to an account was not made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Refused {
    /// Someone else changed it in the meantime.
    Stale,
    /// The last education officer who can sign in must stay one.
    LastOfficer,
    /// Another account has this email.
    MailTaken,
    /// Another account has this name.
    NameTaken,
}
