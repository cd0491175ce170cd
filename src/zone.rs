//! Wall clocks: what day and time it is in a time zone. jiff knows the zones; everything
//! outside this file uses `time`.

use jiff::tz::{TimeZone, TimeZoneDatabase};
use jiff::{Timestamp, civil};
use std::sync::LazyLock;
use time::{Date, Month, OffsetDateTime, PrimitiveDateTime, Time};

/// The zones bundled with the program, so that what a department sees depends only on the
/// program's version. Kept, because it remembers the zones it has read.
static KNOWN: LazyLock<TimeZoneDatabase> = LazyLock::new(TimeZoneDatabase::bundled);

/// The zones of the United States and its territories, each with the name people there
/// use, from east to west.
pub const UNITED_STATES: [(&str, &str); 11] = [
    ("America/Puerto_Rico", "Atlantic Time (Puerto Rico, Virgin Islands)"),
    ("America/New_York", "Eastern Time"),
    ("America/Chicago", "Central Time"),
    ("America/Denver", "Mountain Time"),
    ("America/Phoenix", "Mountain Time without daylight saving (Arizona)"),
    ("America/Los_Angeles", "Pacific Time"),
    ("America/Anchorage", "Alaska Time"),
    ("America/Adak", "Hawaii-Aleutian Time with daylight saving (Aleutian Islands)"),
    ("Pacific/Honolulu", "Hawaii Time"),
    ("Pacific/Pago_Pago", "Samoa Time (American Samoa)"),
    ("Pacific/Guam", "Chamorro Time (Guam, Northern Mariana Islands)"),
];

/// Older names of the same zones in the IANA database (its file `backward`).
const OLDER: [(&str, &str); 10] = [
    ("US/Eastern", "America/New_York"),
    ("US/Central", "America/Chicago"),
    ("US/Mountain", "America/Denver"),
    ("US/Arizona", "America/Phoenix"),
    ("US/Pacific", "America/Los_Angeles"),
    ("US/Alaska", "America/Anchorage"),
    ("US/Aleutian", "America/Adak"),
    ("US/Hawaii", "Pacific/Honolulu"),
    ("US/Samoa", "Pacific/Pago_Pago"),
    ("America/Virgin", "America/Puerto_Rico"),
];

/// What people call the zone with this name; the name itself if there is no other.
#[must_use]
pub fn plain(name: &str) -> &str {
    let name = OLDER.iter().find(|(older, _)| *older == name).map_or(name, |(_, newer)| newer);
    UNITED_STATES.iter().find(|(known, _)| *known == name).map_or(name, |(_, plain)| plain)
}

/// Is it on the short list?
#[must_use]
pub fn is_listed(name: &str) -> bool {
    UNITED_STATES.iter().any(|(known, _)| *known == name)
}

/// Can someone choose it by exactly this name?
#[must_use]
pub fn is_offered(name: &str) -> bool {
    KNOWN.get(name).is_ok_and(|zone| zone.iana_name() == Some(name))
}

/// A time zone of the IANA database, by its name there.
#[derive(Debug, Clone, PartialEq)]
pub struct Zone(TimeZone);

impl Zone {
    /// The zone with this name, in any mix of capitals.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        let zone = KNOWN.get(name).or_else(|_| jiff::tz::db().get(name)).ok()?;
        zone.iana_name()?;
        Some(Self(zone))
    }

    /// Its name in the IANA database.
    #[must_use]
    pub fn name(&self) -> &str {
        self.0.iana_name().expect("zones are found by name")
    }

    /// What people call it.
    #[must_use]
    pub fn plain(&self) -> &str {
        plain(self.name())
    }

    /// The names of all zones.
    #[must_use]
    pub fn names() -> Vec<String> {
        KNOWN.available().map(|name| name.to_string()).collect()
    }

    /// What the wall clock shows at an instant.
    #[must_use]
    pub fn wall(&self, at: OffsetDateTime) -> PrimitiveDateTime {
        let at = Timestamp::from_second(at.unix_timestamp()).expect("a clock reads a year below 10,000");
        let there = self.0.to_datetime(at);
        let month = Month::try_from(u8::try_from(there.month()).expect("1 to 12")).expect("1 to 12");
        let date =
            Date::from_calendar_date(i32::from(there.year()), month, u8::try_from(there.day()).expect("1 to 31"))
                .expect("a civil date");
        let part = |n: i8| u8::try_from(n).expect("0 to 59");
        let time =
            Time::from_hms(part(there.hour()), part(there.minute()), part(there.second())).expect("a civil time");
        PrimitiveDateTime::new(date, time)
    }

    /// What day it is there.
    #[must_use]
    pub fn today(&self, now: OffsetDateTime) -> Date {
        self.wall(now).date()
    }

    /// The instant when the wall clock shows this. A time that the clock skips is read with
    /// the offset before the jump; one that it shows twice means the first, as RFC 5545
    /// section 3.3.5 says.
    ///
    /// None beyond the years that zones are known for.
    #[must_use]
    pub fn instant(&self, on: Date, at: Time) -> Option<OffsetDateTime> {
        let wall = civil::DateTime::new(
            i16::try_from(on.year()).ok()?,
            i8::try_from(u8::from(on.month())).ok()?,
            i8::try_from(on.day()).ok()?,
            i8::try_from(at.hour()).ok()?,
            i8::try_from(at.minute()).ok()?,
            i8::try_from(at.second()).ok()?,
            0,
        )
        .ok()?;
        let at = self.0.to_ambiguous_timestamp(wall).compatible().ok()?;
        OffsetDateTime::from_unix_timestamp(at.as_second()).ok()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::Value;
    use time::format_description::well_known::Iso8601;
    use time::macros::{date, datetime, time};

    /// Days when clocks change, from the IANA database, release 2026.
    #[test]
    fn gaps_and_folds_are_resolved_as_rfc_5545_says() {
        let cases = [
            ("Europe/London", date!(2027 - 03 - 28), time!(1:30), datetime!(2027-03-28 01:30 UTC)),
            ("Europe/London", date!(2026 - 10 - 25), time!(1:30), datetime!(2026-10-25 00:30 UTC)),
            ("America/Chicago", date!(2027 - 03 - 14), time!(2:30), datetime!(2027-03-14 08:30 UTC)),
            ("America/Chicago", date!(2027 - 11 - 07), time!(1:30), datetime!(2027-11-07 06:30 UTC)),
            ("Australia/Lord_Howe", date!(2027 - 10 - 03), time!(2:15), datetime!(2027-10-02 15:45 UTC)),
        ];
        for (zone, on, at, expected) in cases {
            assert_eq!(Zone::named(zone).unwrap().instant(on, at), Some(expected), "{zone}");
        }
    }

    /// `tests/reference/zones.json`, made with Python's zoneinfo: every change of ten clocks
    /// from 2010 to 2040, and days in between.
    #[test]
    fn wall_times_are_the_instants_that_another_library_finds() {
        let file: Value = serde_json::from_str(include_str!("../tests/reference/zones.json")).unwrap();
        let (mut gaps, mut folds, mut others) = (0, 0, 0);
        for (name, cases) in file["zones"].as_object().unwrap() {
            let zone = Zone::named(name).unwrap();
            for case in cases.as_array().unwrap() {
                let wall = PrimitiveDateTime::parse(case[0].as_str().unwrap(), &Iso8601::DEFAULT).unwrap();
                let at = OffsetDateTime::from_unix_timestamp(case[1].as_i64().unwrap()).unwrap();
                assert_eq!(zone.instant(wall.date(), wall.time()), Some(at), "{name} {case}");
                // Only a time that the clock skips is never shown.
                let is_gap = case[2] == "gap";
                assert_eq!(zone.wall(at) == wall, !is_gap, "{name} {case}");
                *(if is_gap {
                    &mut gaps
                } else if case[2] == "fold" {
                    &mut folds
                } else {
                    &mut others
                }) += 1;
            }
        }
        assert!(gaps > 700 && folds > 700 && others > 1_500, "{gaps} {folds} {others}");
    }

    #[test]
    fn the_day_hangs_on_the_zone() {
        let now = datetime!(2027-01-02 04:00 UTC);
        assert_eq!(Zone::named("america/chicago").unwrap().today(now), date!(2027 - 01 - 01));
        assert_eq!(Zone::named("Asia/Kathmandu").unwrap().wall(now), datetime!(2027-01-02 09:45));
    }

    #[test]
    fn names_are_canonical_and_unknown_ones_are_none() {
        assert_eq!(Zone::named("america/chicago").unwrap().name(), "America/Chicago");
        assert!(Zone::named("Mars/Olympus").is_none());
        assert!(Zone::names().len() > 400);
    }

    /// From the zones' own offsets and change days in the IANA database.
    #[test]
    fn a_plain_name_stands_for_one_clock() {
        let hours = |zone: &Zone, on| {
            let noon = zone.instant(on, time!(12:00)).unwrap();
            (datetime!(2027-01-01 12:00 UTC).replace_date(on) - noon).whole_hours()
        };
        let (winter, summer) = (date!(2027 - 01 - 15), date!(2027 - 07 - 15));
        let expected = [
            (-4, -4),
            (-5, -4),
            (-6, -5),
            (-7, -6),
            (-7, -7),
            (-8, -7),
            (-9, -8),
            (-10, -9),
            (-10, -10),
            (-11, -11),
            (10, 10),
        ];
        for ((name, text), (january, july)) in UNITED_STATES.into_iter().zip(expected) {
            let zone = Zone::named(name).unwrap();
            assert_eq!((hours(&zone, winter), hours(&zone, summer)), (january, july), "{name}");
            assert_eq!((zone.name(), zone.plain()), (name, text));
        }
        for (older, newer) in OLDER {
            let (one, other) = (Zone::named(older).unwrap(), Zone::named(newer).unwrap());
            assert_eq!(
                (hours(&one, winter), hours(&one, summer)),
                (hours(&other, winter), hours(&other, summer)),
                "{older}"
            );
            assert_eq!(one.plain(), other.plain());
        }
        assert_eq!(Zone::named("Europe/London").unwrap().plain(), "Europe/London");
    }
}
