//! Wall clocks: which day and hour it is in a time zone. jiff knows the zones;
//! everything outside this file speaks `time`.

use jiff::tz::{TimeZone, TimeZoneDatabase};
use jiff::{Timestamp, civil};
use std::sync::LazyLock;
use time::{Date, Month, OffsetDateTime, PrimitiveDateTime, Time};

/// The zones bundled with the program: what a department sees then hangs on the
/// program's version alone. Kept, since it remembers the zones it has read.
static KNOWN: LazyLock<TimeZoneDatabase> = LazyLock::new(TimeZoneDatabase::bundled);

/// A time zone of the IANA database, by its name there.
#[derive(Debug, Clone, PartialEq)]
pub struct Zone(TimeZone);

impl Zone {
    /// The zone of that name, in any capitals.
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

    /// The day it is there.
    #[must_use]
    pub fn today(&self, now: OffsetDateTime) -> Date {
        self.wall(now).date()
    }

    /// The instant at which the wall clock shows this. An hour that the clock
    /// jumps over is taken with the offset before the jump, one that it shows
    /// twice the first time, as RFC 5545 section 3.3.5 says.
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

    /// Change-over days of the IANA database, release 2026.
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

    /// `tests/reference/zones.json`, made by zoneinfo for Python: every change
    /// of ten clocks from 2010 to 2040, and days between.
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
                // A time that the clock jumps over is the only one it never shows.
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
}
