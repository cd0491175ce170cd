//! Officials and sponsors: who is invited, the order of introductions, who speaks for
//! how long, and who is here.

mod day;
mod due;
mod follow;
mod form;
mod history;
mod inviting;
mod list;
mod print;
mod program;
mod routes;
mod signing;
mod snapshot;
mod store;
mod views;

use crate::calc;
use crate::calc::calendar::Basis;
use crate::calc::program::Give;
use crate::named::named;
use crate::state::App;
use axum::{Extension, Router};
use serde_json::{Value, json};
use time::{Date, Month};

pub use due::countdown_items;
pub use follow::{follow, reword};
pub use history::HISTORY;
pub use inviting::{with_facts, words_of};
pub use list::GuestSettings;
pub use program::{Following, ReadFollowing, Timeline, TimelinePart, timeline};
pub use snapshot::{Attending, GuestStatus, attending};
pub use store::{
    add, forget, hand_back, hand_back_signer, hand_over, hand_over_signer, of_event, put_program, rang, save_settings,
    set_place, settings, tick,
};

/// Everything about guests.
pub fn router(following: ReadFollowing) -> Router<App> {
    let pages = routes::router().merge(inviting::router()).merge(day::router()).merge(print::router());
    pages.merge(program::router()).merge(list::router()).layer(Extension(following))
}

named! {
    /// What someone is invited as.
    Side, "Choose what they are invited as.", SIDES: [
        Official = "official",
        Sponsor = "sponsor",
        Partner = "partner",
    ]
}

named! {
    /// The level of an office, which decides how early it is invited.
    Level, "Choose a level.", LEVELS: [
        Local = "local",
        Regional = "regional",
        State = "state",
        Federal = "federal",
        Sponsor = "sponsor",
    ]
}

named! {
    /// How a part of the program may be cut when time is short.
    Gives, "Choose what to do when time is short.", GIVES: [
        Fixed = "fixed",
        Shorten = "shorten",
        Drop = "drop",
        Either = "shorten or drop",
    ]
}

named! {
    /// The type of a part of the program.
    Part, "Choose a type for this part.", PARTS: [
        Words = "words",
        Introductions = "introductions",
        Talks = "talks",
        Thanks = "sponsor thanks",
    ]
}

impl Part {
    /// Its name on pages.
    #[must_use]
    pub fn label(self) -> &'static str {
        match self {
            Self::Words => "remarks",
            Self::Introductions => "introductions",
            Self::Talks => "guests' remarks",
            Self::Thanks => "sponsor thanks",
        }
    }
}

/// The levels of offices.
pub const OFFICE_LEVELS: [&str; 4] = ["local", "regional", "state", "federal"];

impl Gives {
    fn give(self, least: u32) -> Give {
        match self {
            Self::Fixed => Give::Fixed,
            Self::Shorten => Give::Shorten(least),
            Self::Drop => Give::Drop,
            Self::Either => Give::Either(least),
        }
    }
}

/// An office on the department's list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Office {
    pub id: i64,
    pub name: String,
    pub level: Level,
    /// What goes before its holder's name: "The Honorable".
    pub address: String,
    pub is_host: bool,
    pub before_host: bool,
}

/// A sponsor level on the department's list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SponsorLevel {
    pub id: i64,
    pub name: String,
}

/// How long before burn day a level is invited.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct InvitationLead {
    pub level: Level,
    pub days: u16,
    pub basis: Basis,
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

/// A part of the program.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ProgramItem {
    pub kind: Part,
    pub title: String,
    pub who: String,
    /// In total, or for each guest introduced or thanked.
    pub seconds: u32,
    pub gives: Gives,
    pub least: u32,
    pub priority: u8,
}

/// The program before ignition.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Program {
    /// How many minutes before ignition it begins.
    pub begins: u32,
    /// How long it may run.
    pub minutes: u32,
    pub items: Vec<ProgramItem>,
    /// 0 until it is first saved.
    pub version: i64,
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

    fn snapshot(&self, settings: &GuestSettings, responsible: Option<&str>) -> Value {
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

impl Guest {
    /// The check-in for that date.
    #[must_use]
    pub fn day(&self, on: Date) -> Option<&Day> {
        Some(&self.day).filter(|day| day.on == Some(on))
    }
}

impl Program {
    /// A program to start from: common practice.
    #[must_use]
    pub fn usual() -> Self {
        let part = |kind, title: &str, who: &str, seconds, gives, least, priority| ProgramItem {
            kind,
            title: title.to_owned(),
            who: who.to_owned(),
            seconds,
            gives,
            least,
            priority,
        };
        Self {
            begins: 25,
            minutes: 12,
            items: vec![
                part(Part::Words, "Welcome", "presenter", 120, Gives::Fixed, 120, 1),
                part(Part::Introductions, "Introduction of officials", "presenter", 10, Gives::Fixed, 10, 1),
                part(Part::Talks, "Remarks by guests", "", 0, Gives::Fixed, 0, 1),
                part(Part::Thanks, "Thanks to sponsors", "presenter", 30, Gives::Shorten, 10, 4),
            ],
            version: 0,
        }
    }

    fn snapshot(&self) -> Value {
        let part =
            |item: &ProgramItem| format!("{} ({}, {})", item.title, calc::program::says(item.seconds), item.gives);
        json!({
            "begins": format!("{} min before ignition", self.begins),
            "may last": format!("{} min", self.minutes),
            "parts": self.items.iter().map(part).collect::<Vec<_>>().join("; "),
        })
    }
}
