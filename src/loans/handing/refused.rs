//! Why a pickup or a return can't be recorded now.

use crate::loans::choices::Step;
use crate::loans::loan::Loan;

/// Why a pickup or a return can't be recorded now.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Refused {
    NotLent,
    HandedOver,
    NotHere,
    Back,
}

impl Refused {
    /// As a page marks it.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::NotLent => "not-lent",
            Self::HandedOver => "handed-over",
            Self::NotHere => "not-here",
            Self::Back => "back",
        }
    }

    pub fn says(self) -> &'static str {
        match self {
            Self::NotLent => "This loan fell through. If it is on again, undo that update first.",
            Self::HandedOver => "The pickup is already recorded.",
            Self::NotHere => "We don't have it yet. Record the pickup first.",
            Self::Back => "The return is already recorded.",
        }
    }
}

/// Why this can't be recorded now: the pickup comes first, then the return.
pub(super) fn refused(loan: &Loan, is_return: bool) -> Option<Refused> {
    match (is_return, loan.record(false), loan.record(true)) {
        _ if loan.has(Step::NotLent) => Some(Refused::NotLent),
        (false, Some(_), _) => Some(Refused::HandedOver),
        (true, None, _) => Some(Refused::NotHere),
        (true, _, Some(_)) => Some(Refused::Back),
        _ => None,
    }
}
