//! When somebody can be there on a day.

use crate::web::{form, words};
use time::{Date, Duration, PrimitiveDateTime, Time};

/// From when until when, in minutes after midnight of a day; the end may lie on
/// the next one and doesn't belong to it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Hours {
    pub from: u16,
    pub until: u16,
}

const DAY: u16 = 24 * 60;

impl Hours {
    /// From one time of day to another; one that isn't later is on the next day.
    #[must_use]
    pub fn between(from: Time, until: Time) -> Self {
        let minutes = |time: Time| u16::from(time.hour()) * 60 + u16::from(time.minute());
        let (from, until) = (minutes(from), minutes(until));
        Self { from, until: if until > from { until } else { until + DAY } }
    }

    /// The times of day.
    #[must_use]
    pub fn clocks(self) -> (Time, Time) {
        let time = |minutes: u16| {
            let minutes = minutes % DAY;
            let (hour, minute) = (u8::try_from(minutes / 60), u8::try_from(minutes % 60));
            Time::from_hms(hour.unwrap_or(0), minute.unwrap_or(0), 0).unwrap_or(Time::MIDNIGHT)
        };
        (time(self.from), time(self.until))
    }

    /// The same so many minutes later, or earlier, within the day it begins on.
    #[must_use]
    pub fn later(self, minutes: i64) -> Self {
        let (length, latest) = (self.until - self.from, i64::from(DAY) - 1);
        let from = u16::try_from((i64::from(self.from) + minutes).clamp(0, latest)).unwrap_or(self.from);
        Self { from, until: from + length }
    }

    /// The same on a day.
    #[must_use]
    pub fn on(self, day: Date) -> (PrimitiveDateTime, PrimitiveDateTime) {
        let midnight = PrimitiveDateTime::new(day, Time::MIDNIGHT);
        let at = |minutes: u16| midnight + Duration::minutes(i64::from(minutes));
        (at(self.from), at(self.until))
    }

    /// What a form sends; none if both are empty.
    ///
    /// # Errors
    /// What to tell the person who typed it.
    pub fn read(from: &str, until: &str) -> Result<Option<Self>, String> {
        if from.trim().is_empty() && until.trim().is_empty() {
            return Ok(None);
        }
        Ok(Some(Self::between(form::time_of_day(from)?, form::time_of_day(until)?)))
    }

    #[must_use]
    pub fn covers(self, other: Self) -> bool {
        self.from <= other.from && self.until >= other.until
    }

    /// "07:00 to 13:00", "18:00 to 01:00 the next day".
    #[must_use]
    pub fn says(self) -> String {
        let (from, until) = self.clocks();
        let next = if self.until >= DAY { " the next day" } else { "" };
        format!("{} to {}{next}", words::clock(from), words::clock(until))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::{date, datetime, time};

    #[test]
    fn hours_may_pass_midnight() {
        let day = Hours::between(time!(7:00), time!(13:00));
        assert_eq!(day.says(), "07:00 to 13:00");
        let night = Hours::between(time!(18:00), time!(1:00));
        assert_eq!(night.says(), "18:00 to 01:00 the next day");
        assert_eq!(night.on(date!(2027 - 01 - 02)), (datetime!(2027-01-02 18:00), datetime!(2027-01-03 1:00)));
        assert_eq!(night.clocks(), (time!(18:00), time!(1:00)));
        assert!(Hours::between(time!(6:00), time!(13:00)).covers(day));
        assert!(!Hours::between(time!(8:00), time!(13:00)).covers(day));
        assert_eq!(Hours::read(" ", ""), Ok(None));
        assert!(Hours::read("7:00", "").is_err());
        assert_eq!(day.later(180).says(), "10:00 to 16:00");
        assert_eq!(day.later(-600).says(), "00:00 to 06:00", "not on the day before");
    }
}
