//! When thanks begin, and when everyone should be thanked.

use crate::calc::calendar::Calendar;
use crate::events::Event;
use time::{Date, Duration, OffsetDateTime};

/// Thank-you letters go out within this many calendar days after burn day: common
/// practice, no published source.
const WITHIN: Duration = Duration::days(7);

/// When thanks can start.
#[must_use]
pub fn begins_at(event: &Event) -> OffsetDateTime {
    event.details.starts_at()
}

/// The date by which everyone should be thanked. Like every deadline after the burn it
/// moves forward from a closed day.
#[must_use]
pub fn due_on(burn_on: Date, calendar: &Calendar) -> Date {
    calendar.after(burn_on + WITHIN, 0)
}
