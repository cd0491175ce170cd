//! Whether a guest is coming.

/// Whether a guest is coming on one date.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum GuestStatus {
    Comes,
    SendsDeputy,
    Maybe,
    /// Asked, with no answer yet.
    Waiting,
    NotAsked,
    StaysAway,
}

impl GuestStatus {
    /// By how much there is to do about them.
    pub const ALL: [Self; 6] =
        [Self::NotAsked, Self::Waiting, Self::Maybe, Self::Comes, Self::SendsDeputy, Self::StaysAway];

    #[must_use]
    pub fn says(self) -> &'static str {
        match self {
            Self::Comes => "Coming",
            Self::SendsDeputy => "Sending a deputy",
            Self::Maybe => "Maybe",
            Self::Waiting => "Waiting for a reply",
            Self::NotAsked => "Not asked yet",
            Self::StaysAway => "Not coming",
        }
    }

    /// Its name in `data-` marks, which stays the same when the wording of pages changes.
    #[must_use]
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Comes => "comes",
            Self::SendsDeputy => "sends a deputy",
            Self::Maybe => "maybe",
            Self::Waiting => "waiting",
            Self::NotAsked => "not asked",
            Self::StaysAway => "stays away",
        }
    }

    /// The icon in front of it: see the macro.
    #[must_use]
    pub fn sign(self) -> &'static str {
        match self {
            Self::Comes | Self::SendsDeputy => "done",
            Self::Maybe => "risk",
            Self::Waiting => "waiting",
            Self::NotAsked => "todo",
            Self::StaysAway => "dropped",
        }
    }

    #[must_use]
    pub fn is_expected(self) -> bool {
        matches!(self, Self::Comes | Self::SendsDeputy)
    }
}
