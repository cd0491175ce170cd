//! How to reach someone at an outlet.

use crate::accounts::{Private, User};
use crate::people::Person;

/// How to reach someone.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Reach {
    /// Empty for users who may not see it.
    pub phone: String,
    pub mail: String,
    /// Why they can't get announcements by email; none if they can.
    pub unmailed: Option<Unmailed>,
}

/// Why someone can't get announcements by email.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Unmailed {
    Unwanted,
    Refused,
    NoAddress,
}

impl Unmailed {
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Unwanted => "unwanted",
            Self::Refused => "refused",
            Self::NoAddress => "no address",
        }
    }

    pub const fn says(self) -> &'static str {
        match self {
            Self::Unwanted => "wants no email",
            Self::Refused => "email address doesn't work",
            Self::NoAddress => "no email address",
        }
    }
}

impl Reach {
    pub fn of(person: Option<&Person>, user: &User) -> Self {
        let Some(person) = person else { return Self::default() };
        Self {
            phone: user.shown(Private::Contact, &person.details.phone),
            mail: user.shown(Private::Contact, &person.details.mail),
            unmailed: if person.details.no_mail {
                Some(Unmailed::Unwanted)
            } else if !person.refused.is_empty() {
                Some(Unmailed::Refused)
            } else if person.details.mail.is_empty() {
                Some(Unmailed::NoAddress)
            } else {
                None
            },
        }
    }
}
