//! Why something can't be done with a release.

use super::check::Check;

/// The reason.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Why {
    /// Something is missing in the text.
    Missing,
    /// A date or time in it is wrong.
    Wrong,
    /// It changed after it was read.
    Changed,
    Approved,
    NotApproved,
    OutOfDate,
    /// The reader edited it last.
    OwnText,
    /// Someone else with an account can read it.
    OtherReader,
    /// Nobody checked the box for releasing it unread.
    NotSure,
    NobodyTicked,
    /// Nobody checked the box for sending it with a day that has passed.
    OldDateline,
    NoName,
    NoMail,
    /// The name or address belongs to someone we know by another address or name.
    KnownOtherwise,
}

impl Why {
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Missing => "missing",
            Self::Wrong => "wrong",
            Self::Changed => "changed",
            Self::Approved => "approved",
            Self::NotApproved => "not approved",
            Self::OutOfDate => "out of date",
            Self::OwnText => "own text",
            Self::OtherReader => "other reader",
            Self::NotSure => "not sure",
            Self::NobodyTicked => "nobody ticked",
            Self::OldDateline => "old dateline",
            Self::NoName => "no name",
            Self::NoMail => "no mail",
            Self::KnownOtherwise => "known otherwise",
        }
    }
}

/// Why it wasn't done, for the person who tried.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Refusal {
    pub why: Why,
    pub says: String,
}

impl Refusal {
    pub fn new(why: Why, says: impl Into<String>) -> Self {
        Self { why, says: says.into() }
    }

    /// Because of what is missing or wrong in the text; none if nothing is. `not_done` says
    /// what wasn't done.
    pub fn by(check: &Check, not_done: &str) -> Option<Self> {
        let why = if check.wrong.is_empty() { Why::Missing } else { Why::Wrong };
        (!check.is_clean()).then(|| Self::new(why, format!("{not_done} {}.", check.says())))
    }
}
