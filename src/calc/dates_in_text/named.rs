//! The date or time that a text names.

use time::{Date, Month, Time, Weekday};

/// A day or a time of day, as the text names it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Named {
    /// A day.
    Day {
        /// The year, if the text names it.
        year: Option<i32>,
        /// The month.
        month: Month,
        /// The day of the month, from 1.
        day: u8,
        /// The day of the week, if the text names it.
        weekday: Option<Weekday>,
    },
    /// "10:00" may mean the evening too; "10 a.m." can't.
    Clock {
        /// The time, and of two the earlier one.
        at: Time,
        /// The later one, if it may mean two.
        or: Option<Time>,
    },
}

impl Named {
    /// Is it this day? A weekday beside it doesn't matter.
    #[must_use]
    pub fn is_day(self, on: Date) -> bool {
        match self {
            Self::Day { year, month, day, .. } => {
                (month, day) == (on.month(), on.day()) && year.is_none_or(|year| year == on.year())
            }
            Self::Clock { .. } => false,
        }
    }

    /// Is it this time of day?
    #[must_use]
    pub fn is_time(self, time: Time) -> bool {
        match self {
            Self::Clock { at, or } => at == time || or == Some(time),
            Self::Day { .. } => false,
        }
    }

    /// The weekday beside a date, if it is the wrong one.
    #[must_use]
    pub fn wrong_weekday(self, on: Date) -> Option<Weekday> {
        match self {
            Self::Day { weekday, .. } => weekday.filter(|weekday| *weekday != on.weekday()),
            Self::Clock { .. } => None,
        }
    }
}

pub(super) fn named(year: Option<i32>, month: u32, day: u32, weekday: Option<Weekday>) -> Option<Named> {
    let (month, day) = (Month::try_from(u8::try_from(month).ok()?).ok()?, u8::try_from(day).ok()?);
    // Without a year, Feb. 29 may be meant.
    Date::from_calendar_date(year.unwrap_or(2028), month, day).ok()?;
    Some(Named::Day { year, month, day, weekday })
}

/// A time. Up to twelve it may be either half of the day without "a.m." or "p.m.".
pub(super) fn clock(hour: u8, minute: u8, is_late: Option<bool>) -> Option<Named> {
    let at = |hour: u8| Time::from_hms(hour, minute, 0).ok();
    Some(match is_late {
        Some(is_late) if (1..=12).contains(&hour) => {
            Named::Clock { at: at(hour % 12 + if is_late { 12 } else { 0 })?, or: None }
        }
        _ => Named::Clock { at: at(hour)?, or: if hour <= 12 { at((hour + 12) % 24) } else { None } },
    })
}
