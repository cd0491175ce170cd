//! The two rooms.

use crate::named::named;

named! {
    /// Room A has no sprinkler.
    Room, "Choose a room.", ROOMS: [
        A = "room A",
        B = "room B",
    ]
}

impl Room {
    #[must_use]
    pub fn other(self) -> Self {
        match self {
            Self::A => Self::B,
            Self::B => Self::A,
        }
    }

    /// "A" or "B".
    #[must_use]
    pub fn letter(self) -> &'static str {
        match self {
            Self::A => "A",
            Self::B => "B",
        }
    }

    /// What sets the two apart.
    #[must_use]
    pub fn has(self) -> &'static str {
        match self {
            Self::A => "no sprinkler",
            Self::B => "sprinkler",
        }
    }
}
