//! When an item must go back, and why then.

use super::agreed::{Agreed, Span};
use super::loan::Loan;
use super::snapshot::LoanSnapshot;
use crate::web::words;
use std::fmt;
use time::Date;

/// When an item must go back, and why then.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Due {
    pub on: Date,
    pub why: Why,
}

/// Why an item must go back on that day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Why {
    /// Schools get their items back on their next working day.
    School,
    /// The return date was agreed.
    Agreed,
    /// It is the last day we may have it.
    Until,
    /// No dates were agreed.
    Open,
}

impl Why {
    /// As a page marks it.
    #[must_use]
    pub fn as_str(self) -> &'static str {
        match self {
            Self::School => "school",
            Self::Agreed => "agreed",
            Self::Until => "until",
            Self::Open => "open",
        }
    }
}

/// As people read it.
impl fmt::Display for Why {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::School => "due back at a school the next working day",
            Self::Agreed => "return date agreed",
            Self::Until => "last day of the loan",
            Self::Open => "no date agreed; due the next working day",
        })
    }
}

impl LoanSnapshot {
    /// When it must go back if the burn is on that date. Schools need their items the next
    /// morning: common practice, no published source.
    #[must_use]
    pub fn due(&self, loan: &Loan, burn_on: Date) -> Due {
        let next = || self.calendar.after(burn_on, 1);
        match loan.details.agreed.get(&burn_on) {
            _ if loan.details.is_school => Due { on: next(), why: Why::School },
            Some(Agreed::Free(Span { return_on: Some(on), .. })) => Due { on: *on, why: Why::Agreed },
            Some(Agreed::Free(span)) => Due { on: span.until_on, why: Why::Until },
            _ => Due { on: next(), why: Why::Open },
        }
    }

    /// When it must go back with the burn on its current date.
    #[must_use]
    pub fn goes_back(&self, loan: &Loan) -> Due {
        self.due(loan, self.event.details.burn_on)
    }

    /// The pickup date, if one is agreed.
    #[must_use]
    pub fn fetched_on(&self, loan: &Loan, burn_on: Date) -> Option<Date> {
        match loan.details.agreed.get(&burn_on)? {
            Agreed::Free(span) => Some(span.collect_on.unwrap_or(span.from_on)),
            Agreed::NotFree => None,
        }
    }

    /// How many days it is late, or `None` if we don't have it or it isn't due yet.
    #[must_use]
    pub fn days_late(&self, loan: &Loan) -> Option<i64> {
        let days = (self.today - self.goes_back(loan).on).whole_days();
        (loan.is_out() && days > 0).then_some(days)
    }
}

/// "3 days late"
pub(super) fn late_says(days: i64) -> String {
    let days = usize::try_from(days).unwrap_or(0);
    format!("{} late", words::count(days, "day", "days"))
}
