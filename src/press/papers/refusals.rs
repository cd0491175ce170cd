//! Why something can't be done with a paper.

use super::check::Check;

/// What stands against it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Why {
    /// The text lacks something.
    Missing,
    /// It says what isn't so.
    Wrong,
    /// It was changed since it was read.
    Changed,
    Approved,
    NotApproved,
    OutOfDate,
    /// Who should read it edited it last.
    OwnText,
    /// Somebody else with an account can read it.
    OtherReader,
    /// Nobody ticked that it goes out unread.
    NotSure,
    NobodyTicked,
    NoName,
    NoMail,
    /// A name or an address that somebody has who is known otherwise.
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
            Self::NoName => "no name",
            Self::NoMail => "no mail",
            Self::KnownOtherwise => "known otherwise",
        }
    }
}

/// Why it was not done, for whoever pressed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Refusal {
    pub why: Why,
    pub says: String,
}

impl Refusal {
    pub fn new(why: Why, says: impl Into<String>) -> Self {
        Self { why, says: says.into() }
    }

    /// Because of what stands against the text; none if nothing does. `not_done`
    /// says what wasn't done.
    pub fn by(check: &Check, not_done: &str) -> Option<Self> {
        let why = if check.wrong.is_empty() { Why::Missing } else { Why::Wrong };
        (!check.is_clean()).then(|| Self::new(why, format!("{not_done} {}.", check.says())))
    }
}
