//! The status of an outlet: how far it got from not contacted to a story.

/// The status of an outlet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum OutletStatus {
    Open,
    Approached,
    Replied,
    Perhaps,
    Declined,
    Comes,
    Ran,
}

impl OutletStatus {
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Open => "open",
            Self::Approached => "approached",
            Self::Replied => "replied",
            Self::Perhaps => "perhaps",
            Self::Declined => "declined",
            Self::Comes => "comes",
            Self::Ran => "ran",
        }
    }

    pub const fn says(self) -> &'static str {
        match self {
            Self::Open => "not contacted",
            Self::Approached => "contacted",
            Self::Replied => "replied",
            Self::Perhaps => "may cover it",
            Self::Declined => "will not cover it",
            Self::Comes => "will cover it",
            Self::Ran => "ran a story",
        }
    }

    pub const fn sign(self) -> &'static str {
        match self {
            Self::Open => "todo",
            Self::Approached | Self::Replied | Self::Perhaps => "waiting",
            Self::Declined => "dropped",
            Self::Comes | Self::Ran => "done",
        }
    }
}
