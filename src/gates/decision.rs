//! When it is decided whether to burn: two days before, the evening before, in the morning,
//! and in the last minutes.

use crate::events::Event;
use crate::named::named;
use time::macros::time;
use time::{Duration, OffsetDateTime, Time};

named! {
    /// One of the moments at which it is decided whether to burn.
    Decision, "Choose a decision.", DECISIONS: [
        TwoDays = "two days before",
        Evening = "evening before",
        Morning = "morning",
        LastMinutes = "last minutes",
    ]
}

/// When each decision is made. These are common practice, no source.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DecisionTimes {
    pub two_days: Time,
    pub evening: Time,
    pub morning: Time,
    /// Minutes before first ignition.
    pub last_minutes: u32,
    /// 0 before anything is saved.
    pub version: i64,
}

impl Default for DecisionTimes {
    fn default() -> Self {
        Self { two_days: time!(18:00), evening: time!(18:00), morning: time!(6:00), last_minutes: 10, version: 0 }
    }
}

impl Decision {
    /// Its name at the start of a line.
    #[must_use]
    pub const fn title(self) -> &'static str {
        match self {
            Self::TwoDays => "Two days before",
            Self::Evening => "Evening before",
            Self::Morning => "Morning",
            Self::LastMinutes => "Last minutes",
        }
    }

    /// Do forecasts count for it? On burn day, only readings do.
    #[must_use]
    pub const fn takes_forecasts(self) -> bool {
        matches!(self, Self::TwoDays | Self::Evening)
    }
}

impl DecisionTimes {
    /// The moment of a decision, for the event's date as it is.
    #[must_use]
    pub fn at(&self, event: &Event, decision: Decision) -> Option<OffsetDateTime> {
        let Event { details, .. } = event;
        let day = |before: i64, at: Time| details.zone.instant(details.burn_on - Duration::days(before), at);
        match decision {
            Decision::TwoDays => day(2, self.two_days),
            Decision::Evening => day(1, self.evening),
            Decision::Morning => day(0, self.morning),
            Decision::LastMinutes => Some(day(0, details.burn_time)? - Duration::minutes(i64::from(self.last_minutes))),
        }
    }

    /// The decision that comes next, or the last one once it is over.
    #[must_use]
    pub fn next(&self, event: &Event, now: OffsetDateTime) -> Decision {
        let is_ahead = |decision: &Decision| self.at(event, *decision).is_some_and(|at| now < at + WINDOW);
        Decision::ALL.into_iter().find(is_ahead).unwrap_or(Decision::LastMinutes)
    }
}

/// A decision is still the one at hand this long after its time.
const WINDOW: Duration = Duration::hours(2);
