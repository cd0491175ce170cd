//! What can be chosen about a loan: its type, who insures it, its steps, and whether it is
//! available.

use crate::named::named;

named! {
    /// The type of item, which sets what is checked at pickup and return.
    Kind, "Choose a type.", KINDS: [
        Clock = "clock",
        Timers = "timers",
        Sound = "sound",
        Radios = "radios",
        Barriers = "barriers",
        Power = "power",
        Seats = "tables and seats",
        Other = "something else",
    ]
}

named! {
    /// Whose insurance pays for damage.
    Insured, "Choose who insures it.", INSURED: [
        Open = "not agreed yet",
        Lender = "by the lender",
        Us = "by us",
        Nobody = "by nobody",
    ]
}

named! {
    /// A step in the life of a loan. Each comes after the ones before it, except the
    /// last, which ends the loan.
    Step, "Choose what happened.", STEPS: [
        Asked = "asked",
        Promised = "promised",
        Confirmed = "confirmed in writing",
        Collected = "collected",
        Tested = "tested",
        Returned = "returned",
        Closed = "closed",
        NotLent = "not lent",
    ]
}

named! {
    /// Whether the item is available on a date.
    Free, "Choose whether it is available.", FREES: [
        Open = "not agreed yet",
        Free = "free",
        NotFree = "not free",
    ]
}

#[expect(clippy::derivable_impls, reason = "`named!` has no place for the attribute")]
impl Default for Kind {
    fn default() -> Self {
        Self::Other
    }
}

#[expect(clippy::derivable_impls, reason = "`named!` has no place for the attribute")]
impl Default for Insured {
    fn default() -> Self {
        Self::Open
    }
}

impl Insured {
    /// As people read it.
    #[must_use]
    pub fn label(self) -> &'static str {
        match self {
            Self::Nobody => "not insured",
            Self::Open | Self::Lender | Self::Us => self.as_str(),
        }
    }
}

impl Free {
    /// As people read it.
    #[must_use]
    pub fn label(self) -> &'static str {
        match self {
            Self::Open => self.as_str(),
            Self::Free => "available",
            Self::NotFree => "not available",
        }
    }
}

impl Step {
    /// As people read it.
    #[must_use]
    pub fn label(self) -> &'static str {
        match self {
            Self::Collected => "picked up",
            Self::NotLent => "fell through",
            Self::Asked | Self::Promised | Self::Confirmed | Self::Tested | Self::Returned | Self::Closed => {
                self.as_str()
            }
        }
    }

    /// Does it count for one date only?
    #[must_use]
    pub fn is_dated(self) -> bool {
        matches!(self, Self::Asked | Self::Promised | Self::Confirmed)
    }
}

/// A status, as people read it.
pub(super) fn state_says(state: Option<Step>) -> &'static str {
    state.map_or("not asked yet", Step::label)
}

/// A status, as a page marks it.
pub(super) fn state_mark(state: Option<Step>) -> &'static str {
    state.map_or("not asked", Step::as_str)
}
