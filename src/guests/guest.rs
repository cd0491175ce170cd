//! Someone who is invited, or will be.

use super::program::parts::Gives;
use super::settings::{GuestSettings, Level};
use crate::named::named;
use serde_json::{Value, json};
use time::{Date, Month};

named! {
    /// What someone is invited as.
    Side, "Choose what they are invited as.", SIDES: [
        Official = "official",
        Sponsor = "sponsor",
        Partner = "partner",
    ]
}

/// The settings of a guest.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Details {
    pub side: Side,
    pub level: Level,
    pub office: Option<i64>,
    pub sponsor_level: Option<i64>,
    /// Such as "The Honorable".
    pub address: String,
    /// Whether they are in their own jurisdiction, if set by hand.
    pub in_own: Option<bool>,
    /// In office since: a year, a date, or empty.
    pub since: String,
    pub is_former: bool,
    pub responsible: Option<i64>,
    pub seconds: u32,
    pub gives: Gives,
    pub least: u32,
    pub priority: u8,
    pub microphone: String,
    pub met_by: String,
    pub seat: String,
    pub arrives: String,
    pub parking: String,
    pub clothing: String,
    pub press: String,
    pub also_comes: String,
}

impl Details {
    /// A guest with nothing else known.
    #[must_use]
    pub fn of(side: Side, level: Level) -> Self {
        Self {
            side,
            level,
            office: None,
            sponsor_level: None,
            address: String::new(),
            in_own: None,
            since: String::new(),
            is_former: false,
            responsible: None,
            seconds: 0,
            gives: Gives::Either,
            least: 60,
            priority: 3,
            microphone: String::new(),
            met_by: String::new(),
            seat: String::new(),
            arrives: String::new(),
            parking: String::new(),
            clothing: String::new(),
            press: String::new(),
            also_comes: String::new(),
        }
    }

    /// The date from which time in office counts: January 1 if only a year is known.
    #[must_use]
    pub fn since_day(&self) -> Option<Date> {
        let day = crate::web::form::day(&self.since).ok();
        let year = || Date::from_calendar_date(self.since.parse().ok()?, Month::January, 1).ok();
        day.or_else(year)
    }

    pub(super) fn snapshot(&self, settings: &GuestSettings, responsible: Option<&str>) -> Value {
        let office = self.office.and_then(|id| settings.offices.iter().find(|office| office.id == id));
        let level = self.sponsor_level.and_then(|id| settings.levels.iter().find(|level| level.id == id));
        let own = self.in_own.map(|own| if own { "yes" } else { "no" });
        json!({
            "invited as": self.side.as_str(),
            "level": self.level.as_str(),
            "office": office.map(|office| office.name.as_str()),
            "sponsor level": level.map(|level| level.name.as_str()),
            "address": self.address,
            "own jurisdiction": own,
            "in office since": self.since,
            "former": self.is_former,
            "responsible": responsible,
            "seconds to speak": self.seconds,
            "when time is short": self.gives.as_str(),
            "at least": self.least,
            "priority": self.priority,
            "microphone": self.microphone,
            "met by": self.met_by,
            "seat": self.seat,
            "arrives": self.arrives,
            "parking": self.parking,
            "clothing": self.clothing,
            "press": self.press,
            "also comes": self.also_comes,
        })
    }
}

/// Someone who is invited, or will be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Guest {
    pub id: i64,
    pub event_id: i64,
    pub person_id: i64,
    pub details: Details,
    /// A place set by hand, and the reason.
    pub place: Option<(usize, String)>,
    pub chased_on: Option<Date>,
    /// Who signed the invitation, if not the sender.
    pub signer_id: Option<i64>,
    pub day: Day,
    pub version: i64,
}

impl Guest {
    /// The check-in for that date.
    #[must_use]
    pub fn day(&self, on: Date) -> Option<&Day> {
        Some(&self.day).filter(|day| day.on == Some(on))
    }
}

/// Check-in on burn day.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Day {
    pub on: Option<Date>,
    pub is_here: Option<bool>,
    pub deputy: String,
    pub deputy_title: String,
    pub deputy_phone: String,
    pub deputy_mail: String,
}
