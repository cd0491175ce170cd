//! The events themselves, and the top of every page.

mod bar;
mod form;
mod routes;
mod store;
mod visitors;

use self::bar::Bar;
use crate::accounts::Visit;
use crate::db::Trouble;
use crate::error::{Error, Result};
use crate::named::named;
use crate::state::App;
use crate::web::page::{Banner, Page};
use crate::web::words::Reader;
use crate::zone::Zone;
use std::fmt;
use time::{Date, OffsetDateTime, Time, Weekday};

pub use form::{EventForm, Read, snapshot};
pub use routes::router;
pub use store::{Refused, Row, change, create, current, find, find_in, list, make_current, revision_in};
pub use visitors::{ADDRESS, Coordinates, LIVE_BURN, MAP, PARKING, VisitorFacts, WEAR};

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

/// The weekdays that may be suggested for burn day; there is always at least one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Weekdays(u8);

/// All weekdays, Monday first.
pub const WEEK: [Weekday; 7] = [
    Weekday::Monday,
    Weekday::Tuesday,
    Weekday::Wednesday,
    Weekday::Thursday,
    Weekday::Friday,
    Weekday::Saturday,
    Weekday::Sunday,
];

impl Weekdays {
    /// These weekdays, unless there are none.
    #[must_use]
    pub fn new(days: impl IntoIterator<Item = Weekday>) -> Option<Self> {
        let bits = days.into_iter().fold(0, |bits, day| bits | 1 << day.number_days_from_monday());
        (bits != 0).then_some(Self(bits))
    }

    fn from_bits(bits: i64) -> Result<Self> {
        let bits = u8::try_from(bits).ok().filter(|bits| (1..128).contains(bits));
        bits.map(Self).ok_or_else(|| Error::Internal(anyhow::anyhow!("unknown weekdays in the store")))
    }

    fn bits(self) -> i64 {
        i64::from(self.0)
    }

    #[must_use]
    pub fn days(self) -> Vec<Weekday> {
        WEEK.into_iter().filter(|day| self.contains(*day)).collect()
    }

    #[must_use]
    pub fn contains(self, day: Weekday) -> bool {
        self.0 & 1 << day.number_days_from_monday() != 0
    }
}

impl fmt::Display for Weekdays {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let names: Vec<String> = self.days().iter().map(ToString::to_string).collect();
        f.write_str(&names.join(", "))
    }
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

    fn banner(&self, now: OffsetDateTime) -> Banner {
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
    /// When the first room is lit.
    #[must_use]
    pub fn starts_at(&self) -> OffsetDateTime {
        let known = self.zone.instant(self.burn_on, self.burn_time);
        known.unwrap_or_else(|| self.burn_on.midnight().assume_utc())
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
    fn line(&self, today: Date) -> String {
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

/// What a page shows around its content. With no event given, the current one.
///
/// # Errors
/// The store's.
pub async fn page(app: &App, visit: &Visit, event: Option<&Event>, now: OffsetDateTime) -> Result<Page> {
    let current = if event.is_none() { current(app.db.read()).await? } else { None };
    let event = event.or(current.as_ref());
    let due = match event {
        Some(event) => app.needs.of(app, event.id, now).await,
        None => Vec::new(),
    };
    let bar = Bar::of(&visit.user, event, &visit.path, &due);
    Ok(Page {
        title: String::new(),
        department: visit.user.department.name.clone(),
        who: visit.user.name.clone(),
        role: visit.user.role.as_str(),
        officer: visit.user.is_officer(),
        event: event.map(|event| event.banner(now)),
        places: bar.places,
        beside: bar.beside,
        here: bar.here,
        pages: bar.pages,
        up: bar.up,
        trouble: app.db.trouble().map(Trouble::says),
        alarms: if visit.user.is_officer() { app.mailer.alarms() } else { Vec::new() },
        said: visit.said.clone(),
    })
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use time::macros::{date, time};

    /// An event to try things on.
    pub(crate) fn event(id: i64) -> Event {
        let details = Details {
            name: "Two Rooms, One Spark".to_owned(),
            site: "Alder Bend fairground".to_owned(),
            zone: Zone::named("America/Chicago").unwrap(),
            burn_on: date!(2027 - 01 - 09),
            burn_time: time!(10:00),
            rain_on: Some(date!(2027 - 01 - 16)),
            format: Format::OneAtATime,
            audience: None,
            weekdays: Weekdays::new([Weekday::Saturday]).unwrap(),
            visitors: VisitorFacts::default(),
        };
        Event { id, details, date_revision: 1, facts_revision: 1, is_current: true, version: 1 }
    }

    #[test]
    fn weekdays_read_back() {
        let days = Weekdays::new([Weekday::Sunday, Weekday::Saturday]).unwrap();
        assert_eq!(days.days(), [Weekday::Saturday, Weekday::Sunday]);
        assert_eq!(Weekdays::from_bits(days.bits()).unwrap(), days);
        assert_eq!(days.to_string(), "Saturday, Sunday");
        assert_eq!(Weekdays::new([]), None);
        assert!(Weekdays::from_bits(0).is_err());
        assert!(Weekdays::from_bits(128).is_err());
    }
}
