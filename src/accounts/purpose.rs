//! What a one-time link is for.

use time::Duration;

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

    pub(super) fn lasts(self) -> Duration {
        match self {
            Self::SetUp => Duration::days(1),
            Self::Invitation => Duration::days(14),
            Self::Password => Duration::HOUR,
            Self::Demo => Duration::days(30),
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
