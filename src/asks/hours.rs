//! The hours someone can be there on a day.

use crate::web::form;
use crate::web::words::Reader;
use time::{Date, Duration, PrimitiveDateTime, Time};

/// A start and an end, in minutes after midnight of a day. The end may fall on the next
/// day and isn't included.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Hours {
    pub from: u16,
    pub until: u16,
}

const DAY: u16 = 24 * 60;

/// How an end on the next day is marked.
pub(super) const NEXT_DAY: &str = " the next day";

impl Hours {
    /// From one time of day to another. An end that isn't later is on the next day.
    #[must_use]
    pub fn between(from: Time, until: Time) -> Self {
        let minutes = |time: Time| u16::from(time.hour()) * 60 + u16::from(time.minute());
        let (from, until) = (minutes(from), minutes(until));
        Self { from, until: if until > from { until } else { until + DAY } }
    }

    /// Both times of day.
    #[must_use]
    pub fn clocks(self) -> (Time, Time) {
        let time = |minutes: u16| {
            let minutes = minutes % DAY;
            let (hour, minute) = (u8::try_from(minutes / 60), u8::try_from(minutes % 60));
            Time::from_hms(hour.unwrap_or(0), minute.unwrap_or(0), 0).unwrap_or(Time::MIDNIGHT)
        };
        (time(self.from), time(self.until))
    }

    /// The same this many minutes later, or earlier if negative, starting on the same day.
    #[must_use]
    pub fn later(self, minutes: i64) -> Self {
        let (length, latest) = (self.until - self.from, i64::from(DAY) - 1);
        let from = u16::try_from((i64::from(self.from) + minutes).clamp(0, latest)).unwrap_or(self.from);
        Self { from, until: from + length }
    }

    /// The same on a date.
    #[must_use]
    pub fn on(self, day: Date) -> (PrimitiveDateTime, PrimitiveDateTime) {
        let midnight = PrimitiveDateTime::new(day, Time::MIDNIGHT);
        let at = |minutes: u16| midnight + Duration::minutes(i64::from(minutes));
        (at(self.from), at(self.until))
    }

    /// Reads a form's two times. None if both are empty.
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

    /// "07:00 to 13:00", "18:00 to 01:00 the next day": for the app, and as the lines under
    /// a question store it.
    #[must_use]
    pub fn says(self) -> String {
        self.says_for(Reader::App)
    }

    /// The same for a reader: "7 a.m. to 1 p.m."
    #[must_use]
    pub fn says_for(self, reader: Reader) -> String {
        let (from, until) = self.clocks();
        let next = if self.until >= DAY { NEXT_DAY } else { "" };
        format!("{}{next}", reader.times(from, until))
    }
}

/// A stored line's time or hours as a reader sees them. Any other text stays as it is.
pub(super) fn text_for(reader: Reader, text: &str) -> String {
    let told = match text.split_once(" to ") {
        Some((from, until)) => {
            let (clock, next) = until.strip_suffix(NEXT_DAY).map_or((until, ""), |clock| (clock, NEXT_DAY));
            let times = read_time(from).zip(read_time(clock));
            times.map(|(from, until)| format!("{}{next}", reader.times(from, until)))
        }
        None => read_time(text).map(|at| reader.time(at)),
    };
    told.unwrap_or_else(|| text.to_owned())
}

/// A time of day as it is stored or as people write it: "08:30", "8:30 a.m.", "9 AM",
/// "noon".
pub(super) fn read_time(text: &str) -> Option<Time> {
    let text = text.trim().to_ascii_lowercase();
    match text.as_str() {
        "noon" => return Time::from_hms(12, 0, 0).ok(),
        "midnight" => return Some(Time::MIDNIGHT),
        _ => {}
    }
    let plain = text.replace('.', "");
    let half = |mark: &str, hours: u8| plain.strip_suffix(mark).map(|clock| (clock.trim().to_owned(), hours));
    let Some((clock, hours)) = half("am", 0).or_else(|| half("pm", 12)) else { return form::time_of_day(&text).ok() };
    let (hour, minute) = clock.split_once(':').unwrap_or((clock.as_str(), "0"));
    let hour: u8 = hour.parse().ok().filter(|hour| (1..=12).contains(hour))?;
    Time::from_hms(hour % 12 + hours, minute.parse().ok()?, 0).ok()
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

    #[test]
    fn stored_hours_are_shown_as_each_reader_writes_them() {
        let night = Hours::between(time!(18:00), time!(1:00));
        assert_eq!(night.says_for(Reader::Public), "6 p.m. to 1 a.m. the next day");
        for hours in [night, Hours::between(time!(8:30), time!(12:00))] {
            for reader in [Reader::App, Reader::Public] {
                assert_eq!(text_for(reader, &hours.says()), hours.says_for(reader));
                assert_eq!(text_for(Reader::App, &hours.says_for(reader)), hours.says(), "and back");
            }
        }
        assert_eq!(text_for(Reader::Public, "09:30"), "9:30 a.m.");
        for typed in ["morning", "08:30 to the end", "Welcome to Alder Bend", ""] {
            assert_eq!(text_for(Reader::Public, typed), typed);
        }
        for (typed, at) in [("9 AM", time!(9:00)), ("12:15 a.m.", time!(0:15)), ("noon", time!(12:00))] {
            assert_eq!(read_time(typed), Some(at), "{typed}");
        }
        assert_eq!(read_time("13 p.m."), None);
    }
}
