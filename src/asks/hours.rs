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

    /// The hours in both. None if they have none in common.
    #[must_use]
    pub fn common(self, other: Self) -> Option<Self> {
        let both = Self { from: self.from.max(other.from), until: self.until.min(other.until) };
        (both.from < both.until).then_some(both)
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

/// The hours that the lines under a question state, one for each position. None if a line
/// can't be read, or states no end: then no one can tell.
pub(super) fn stated(facts: &[(String, String)]) -> Option<Vec<Hours>> {
    let mut all = Vec::new();
    for (_, text) in facts.iter().filter(|(label, _)| label == "Time") {
        let Span { from, until } = read_span(text)?;
        let (until, is_next_day) = until?;
        let hours = Hours::between(from, until);
        all.push(match (is_next_day, until > from) {
            (false, true) | (true, false) => hours,
            (true, true) => Hours { until: hours.until + DAY, ..hours },
            (false, false) => return None,
        });
    }
    (!all.is_empty()).then_some(all)
}

/// A stored line's time or hours as a reader sees them. Any other text stays as it is.
pub(super) fn text_for(reader: Reader, text: &str) -> String {
    match read_span(text) {
        Some(Span { from, until: None }) if !text.contains(" to ") => reader.time(from),
        Some(Span { from, until: Some((until, is_next_day)) }) if is_next_day || until > from => {
            format!("{}{}", reader.times(from, until), if is_next_day { NEXT_DAY } else { "" })
        }
        _ => text.to_owned(),
    }
}

/// A time, or one and when it ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Span {
    pub from: Time,
    /// Whether that is on the next day. None if it isn't said or can't be told.
    pub until: Option<(Time, bool)>,
}

/// Times as they are stored or as people write them: "08:30 to 12:30", "8:30 a.m. to
/// noon", "18:00 to 01:00 the next day". In "1:00 to 3:00 p.m." no one can tell whether
/// the first is in the afternoon, so that isn't read.
pub(super) fn read_span(text: &str) -> Option<Span> {
    let Some((from, until)) = text.split_once(" to ") else {
        return Some(Span { from: read_time(text)?, until: None });
    };
    let (clock, is_next_day) = until.strip_suffix(NEXT_DAY).map_or((until, false), |clock| (clock, true));
    let is_word = |text: &str| matches!(text.trim().to_ascii_lowercase().as_str(), "noon" | "midnight");
    let has_letters = |text: &str| text.contains(char::is_alphabetic);
    let is_alike = is_word(from) || is_word(clock) || has_letters(from) == has_letters(clock);
    let until = read_time(clock).filter(|_| is_alike).map(|until| (until, is_next_day));
    Some(Span { from: read_time(from)?, until })
}

/// "08:30", "8:30 a.m.", "9 AM", "noon". Of the 24-hour clock only with two digits: "2:30"
/// may be in the afternoon.
fn read_time(text: &str) -> Option<Time> {
    let text = text.trim();
    let is_clock = text.len() == 5 && text.as_bytes()[2] == b':';
    let is_spoken = text.contains(char::is_alphabetic);
    form::time_of_day(text).ok().filter(|_| is_clock || is_spoken)
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::{date, datetime, time};

    #[test]
    fn what_may_be_in_the_afternoon_stays_as_it_was_typed() {
        for (text, told) in [
            ("08:30 to 12:30", "8:30 a.m. to 12:30 p.m."),
            ("18:00 to 01:00 the next day", "6 p.m. to 1 a.m. the next day"),
            ("8:30 a.m. to noon", "8:30 a.m. to noon"),
            ("09:30", "9:30 a.m."),
            ("9 AM", "9 a.m."),
        ] {
            assert_eq!(text_for(Reader::Public, text), told);
        }
        for text in ["1:00 to 3:00 p.m.", "10:00 to 2:00", "2:30", "10:00 to 11 p.m.", "10:00 to 02:00", "morning"] {
            assert_eq!(text_for(Reader::Public, text), text);
        }
        assert_eq!(read_span("10:00 to 11 p.m."), Some(Span { from: time!(10:00), until: None }));
        assert_eq!(read_span("1:00 to 3:00 p.m."), None);
    }

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
    fn hours_have_others_in_common_unless_one_begins_as_the_other_ends() {
        let (morning, noon) = (Hours::between(time!(7:00), time!(13:00)), Hours::between(time!(12:00), time!(15:00)));
        assert_eq!(morning.common(noon), Some(Hours::between(time!(12:00), time!(13:00))));
        assert_eq!(noon.common(morning), morning.common(noon));
        assert_eq!(morning.common(Hours::between(time!(13:00), time!(15:00))), None);
        let night = Hours::between(time!(18:00), time!(1:00));
        assert_eq!(night.common(Hours::between(time!(0:30), time!(2:00))), None, "that is the night before");
    }

    #[test]
    fn a_question_states_hours_only_where_each_line_has_an_end() {
        let stated = |lines: &[(&str, &str)]| {
            let lines: Vec<_> = lines.iter().map(|(label, text)| ((*label).to_owned(), (*text).to_owned())).collect();
            stated(&lines)
        };
        let morning = Hours::between(time!(8:30), time!(12:30));
        let night = Hours::between(time!(18:00), time!(1:00));
        assert_eq!(stated(&[("Time", "08:30 to 12:30"), ("Wear", "boots")]), Some(vec![morning]));
        assert_eq!(
            stated(&[("Time", "8:30 a.m. to 12:30 p.m."), ("Time", "18:00 to 01:00 the next day")]),
            Some(vec![morning, night])
        );
        let long = Hours { from: 18 * 60, until: (24 + 19) * 60 };
        assert_eq!(stated(&[("Time", "18:00 to 19:00 the next day")]), Some(vec![long]));
        for unclear in ["08:30", "morning", "10:00 to 02:00", "1:00 to 3:00 p.m."] {
            assert_eq!(stated(&[("Time", "08:30 to 12:30"), ("Time", unclear)]), None, "{unclear}");
        }
        assert_eq!(stated(&[("Bring", "boots")]), None);
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
