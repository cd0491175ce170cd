//! A rule that someone in a position would break.

/// A rule that someone in a position would break.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Violation {
    pub why: Why,
    /// Tells the rule from others, in no words. An override stores it, and counts for as
    /// long as the same key comes up.
    pub key: String,
    pub words: String,
    /// Where the rule comes from.
    pub basis: String,
}

/// The kind of rule.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Why {
    /// A required qualification is not on record.
    NotRecorded,
    /// A required qualification is not valid on that day.
    Expired,
    Hours,
    /// Another duty at the same time.
    Duties,
}

impl Why {
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::NotRecorded => "not-recorded",
            Self::Expired => "expired",
            Self::Hours => "hours",
            Self::Duties => "duties",
        }
    }

    /// Beside a name.
    #[must_use]
    pub const fn says(self) -> &'static str {
        match self {
            Self::NotRecorded => "qualification not on record",
            Self::Expired => "qualification expires before then",
            Self::Hours => "not there the whole time",
            Self::Duties => "two duties at once",
        }
    }
}
