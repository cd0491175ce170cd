//! What someone with a position answered for a date, and whether they count.

use crate::web::words::Reader;
use time::Date;

/// What someone with a position answered for one date.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ReplyStatus {
    Confirmed,
    Maybe,
    /// Asked, with no answer yet.
    Waiting,
    /// Said yes to this other date, and wasn't asked about this one.
    OtherDate(Date),
    NotAsked,
    Declined,
}

impl ReplyStatus {
    /// "confirmed", "said yes to Sat, Jan 2, not asked about this date yet".
    #[must_use]
    pub fn says(self, today: Date) -> String {
        match self {
            Self::Confirmed => "confirmed".to_owned(),
            Self::Maybe => "maybe".to_owned(),
            Self::Waiting => "waiting for a reply".to_owned(),
            Self::OtherDate(on) => {
                format!("said yes to {}, not asked about this date yet", Reader::App.near_day(on, today))
            }
            Self::NotAsked => "not asked yet".to_owned(),
            Self::Declined => "declined".to_owned(),
        }
    }

    /// The same without the date, as a mark on pages.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Confirmed => "confirmed",
            Self::Maybe => "maybe",
            Self::Waiting => "waiting",
            Self::OtherDate(_) => "other-date",
            Self::NotAsked => "not-asked",
            Self::Declined => "declined",
        }
    }

    /// The sign in front of it. See the macro.
    #[must_use]
    pub fn sign(self) -> &'static str {
        match self {
            Self::Confirmed => "done",
            Self::Maybe => "risk",
            Self::Waiting => "waiting",
            Self::OtherDate(_) => "late",
            Self::NotAsked => "todo",
            Self::Declined => "dropped",
        }
    }
}

/// Whether an assignment counts on a date.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Seat {
    /// Said yes, and no rule is broken.
    Filled,
    /// Asked, or said maybe.
    Waiting,
    Open,
}

/// How many of the people one position needs are there on one date.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Seats {
    pub filled: usize,
    pub waiting: usize,
    pub open: usize,
}
