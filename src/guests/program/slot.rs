//! How long the program lets a guest speak.

/// How long the program lets a guest speak.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::guests) enum Slot {
    /// Not a speaker.
    None,
    /// For this many seconds.
    Speaks(u32),
    /// No time is left for them.
    LeftOut,
}

impl Slot {
    /// How many seconds they speak; none if they don't.
    pub fn seconds(self) -> Option<u32> {
        match self {
            Self::None => None,
            Self::Speaks(seconds) => Some(seconds),
            Self::LeftOut => Some(0),
        }
    }
}
