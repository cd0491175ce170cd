//! A burn demonstration and what is decided about it.

use super::{Dates, VisitorFacts, Weekdays};
use crate::named::named;
use crate::web::page::Banner;
use crate::web::words::Reader;
use crate::zone::Zone;
use time::{Date, OffsetDateTime, Time};

/// One burn demonstration.
#[derive(Debug, Clone, PartialEq)]
pub struct Event {
    pub id: i64,
    pub details: Details,
    /// Counts how often burn day has changed.
    pub date_revision: i64,
    /// Counts every change to what people are told about it: burn day, time, site, rain
    /// date, name, format, and the facts for visitors.
    pub facts_revision: i64,
    pub is_current: bool,
    pub version: i64,
}

/// What the education officer decides about an event.
#[derive(Debug, Clone, PartialEq)]
pub struct Details {
    pub name: String,
    pub site: String,
    pub zone: Zone,
    pub burn_on: Date,
    pub burn_time: Time,
    pub rain_on: Option<Date>,
    pub format: Format,
    /// People expected.
    pub audience: Option<u32>,
    pub weekdays: Weekdays,
    pub visitors: VisitorFacts,
}

named! {
    /// The order in which the two rooms burn.
    Format, "Choose how the rooms burn.", FORMATS: [
        OneAtATime = "one at a time",
        BothAtOnce = "both at once",
    ]
}

impl Event {
    /// The event with these details, and with its revisions counted up.
    #[must_use]
    pub fn changed(&self, details: &Details) -> Self {
        Self {
            details: details.clone(),
            date_revision: self.date_revision + i64::from(details.burn_on != self.details.burn_on),
            facts_revision: self.facts_revision + i64::from(self.details.tells_other_than(details)),
            version: self.version + 1,
            ..self.clone()
        }
    }

    /// Its dates: burn day, and the rain date if there is one.
    #[must_use]
    pub fn dates(&self) -> Dates {
        self.details.dates()
    }

    /// Today's date at the event's site.
    #[must_use]
    pub fn today(&self, now: OffsetDateTime) -> Date {
        self.details.zone.today(now)
    }

    /// The address of its countdown.
    #[must_use]
    pub fn href(&self) -> String {
        format!("/events/{}", self.id)
    }

    pub(super) fn banner(&self, now: OffsetDateTime) -> Banner {
        let today = self.today(now);
        let days = (self.details.burn_on - today).whole_days();
        let (unit, short) = match days {
            0 => ("burn day is today", "today"),
            1 => ("day to burn day", "day"),
            -1 => ("day since burn day", "day ago"),
            2.. => ("days to burn day", "days"),
            _ => ("days since burn day", "days ago"),
        };
        Banner {
            number: days.abs().to_string(),
            unit,
            short,
            name: self.details.name.clone(),
            line: self.details.line(today),
            href: self.href(),
        }
    }
}

impl Details {
    /// Its dates: burn day, and the rain date if there is one.
    #[must_use]
    pub fn dates(&self) -> Dates {
        Dates { burn_on: self.burn_on, rain_on: self.rain_on }
    }

    /// When the first room is lit.
    #[must_use]
    pub fn starts_at(&self) -> OffsetDateTime {
        let known = self.zone.instant(self.burn_on, self.burn_time);
        known.unwrap_or_else(|| self.burn_on.midnight().assume_utc())
    }

    /// The site and its address on one line, for a map to find.
    #[must_use]
    pub fn location(&self) -> String {
        let parts = [self.site.clone(), self.visitors.address_line()];
        parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", ")
    }

    /// Does it differ in anything people are told?
    #[must_use]
    pub fn tells_other_than(&self, other: &Self) -> bool {
        let told = |one: &Self| {
            let Self { name, site, zone, burn_on, burn_time, rain_on, format, audience: _, weekdays: _, visitors } =
                one.clone();
            (name, site, zone.name().to_owned(), burn_on, burn_time, rain_on, format, visitors.lines())
        };
        told(self) != told(other)
    }

    /// Is what it tells people the same, apart from the facts for visitors?
    #[must_use]
    pub fn differs_only_for_visitors(&self, other: &Self) -> bool {
        let same = Self { visitors: other.visitors.clone(), ..self.clone() };
        self.tells_other_than(other) && !same.tells_other_than(other)
    }

    /// "Sat, Jan 2, 2027, 10:00 · site · rain date Sat, Jan 9 · rooms burn both at once".
    pub(super) fn line(&self, today: Date) -> String {
        let mut parts = vec![format!("{}, {}", Reader::App.day(self.burn_on), Reader::App.time(self.burn_time))];
        if !self.site.is_empty() {
            parts.push(self.site.clone());
        }
        parts.push(match self.rain_on {
            Some(on) => format!("rain date {}", Reader::App.near_day(on, today.max(self.burn_on))),
            None => "no rain date".to_owned(),
        });
        parts.push(format!("rooms burn {}", self.format));
        parts.join(" · ")
    }
}
