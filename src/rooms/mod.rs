//! The two rooms, item by item: what is in both, what is missing, and what should not
//! burn.

mod countdown_items;
mod drawn;
mod edit;
mod form;
mod hazards;
mod lists;
mod measures;
mod promises;
mod routes;
mod size;
mod snapshot;
mod sourcing;
mod store;
mod template;
mod views;

use crate::calc::pairs;
use crate::named::named;
use crate::state::App;
use crate::web::words;
use axum::Router;
use time::Date;

pub use countdown_items::{countdown_items, moved};
pub use drawn::{Frame, Measured, Place, measured, place, place_usual, set_frame};
use form::{OFFERED, PLACES};
pub use hazards::{HAZARDS, Hazard};
pub use measures::{feet, length, number, plain_number};
pub use promises::offered;
pub use size::{Length, Size, UNITS, Unit};
pub use store::{
    DONATION_REPLIES, DonationReply, NewDonationRequest, RoomSettings, Ruling, add, add_donation_request, forget,
    hand_back, hand_over, of_event, rule, set_photo,
};

/// The rooms of an event.
pub fn router() -> Router<App> {
    routes::router()
        .merge(drawn::router())
        .merge(edit::router())
        .merge(lists::router())
        .merge(sourcing::router())
        .merge(promises::router())
}

/// The forms that take photos.
pub fn files_router() -> Router<App> {
    routes::files_router()
}

named! {
    /// Room A has no sprinkler.
    Room, "Choose a room.", ROOMS: [
        A = "room A",
        B = "room B",
    ]
}

named! {
    /// An item that furnishes a room, or a part the room is built of.
    Kind, "Choose furnishing or building part.", KINDS: [
        Furnishing = "furnishing",
        Part = "building part",
    ]
}

named! {
    /// Where an item comes from. Never on loan.
    Source, "Choose where it comes from.", SOURCES: [
        Unknown = "not known yet",
        Gift = "gift",
        Bought = "bought",
        Own = "the department's own",
        Built = "built",
    ]
}

named! {
    /// The status of an item.
    ThingState, "Choose a status.", STATES: [
        Wanted = "wanted",
        Promised = "promised",
        Here = "here",
        InPlace = "in place",
    ]
}

impl ThingState {
    /// As people read it.
    #[must_use]
    pub fn label(self) -> &'static str {
        match self {
            Self::Wanted => "needed",
            Self::Here => "on hand",
            Self::Promised | Self::InPlace => self.as_str(),
        }
    }
}

impl Room {
    #[must_use]
    pub fn other(self) -> Self {
        match self {
            Self::A => Self::B,
            Self::B => Self::A,
        }
    }

    /// "A" or "B".
    #[must_use]
    pub fn letter(self) -> &'static str {
        match self {
            Self::A => "A",
            Self::B => "B",
        }
    }

    /// What sets the two apart.
    #[must_use]
    pub fn has(self) -> &'static str {
        match self {
            Self::A => "no sprinkler",
            Self::B => "sprinkler",
        }
    }
}

/// What people enter about an item.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Details {
    pub room: Room,
    pub kind: Kind,
    /// Its type, as in "floor lamp".
    pub what: String,
    pub model: String,
    pub material: String,
    pub size: Size,
    pub position: String,
    pub condition: String,
    /// 0 until someone enters it.
    pub quantity: u32,
    pub source: Source,
    pub gift_id: Option<i64>,
    /// Who gives, buys or builds it.
    pub by_whom: String,
    pub state: ThingState,
    /// The fuel warnings someone checked.
    pub hazards: Vec<Hazard>,
}

/// A line of a room's list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Thing {
    pub id: i64,
    pub event_id: i64,
    pub details: Details,
    pub photo_id: Option<i64>,
    pub version: i64,
}

impl Details {
    /// An item with only its type.
    #[must_use]
    pub fn of(room: Room, kind: Kind, what: &str) -> Self {
        Self {
            room,
            kind,
            what: what.to_owned(),
            model: String::new(),
            material: String::new(),
            size: Size::default(),
            position: String::new(),
            condition: String::new(),
            quantity: 1,
            source: Source::Unknown,
            gift_id: None,
            by_whom: String::new(),
            state: ThingState::Wanted,
            hazards: Vec::new(),
        }
    }

    /// "3 × cushion", or just the type.
    #[must_use]
    pub fn says(&self) -> String {
        if self.quantity == 1 { self.what.clone() } else { format!("{} × {}", self.quantity, self.what) }
    }

    /// Model, material and size, where known; may be empty.
    #[must_use]
    pub fn described(&self) -> String {
        let parts = [self.model.clone(), self.material.clone(), self.size.to_string()];
        parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", ")
    }

    /// As it is compared with the other room.
    #[must_use]
    pub fn compared(&self) -> pairs::Thing {
        pairs::Thing {
            kind: match self.kind {
                Kind::Furnishing => pairs::Kind::Furnishing,
                Kind::Part => pairs::Kind::Part,
            },
            what: self.what.clone(),
            model: self.model.clone(),
            material: self.material.clone(),
            size: self.size.lengths,
            position: self.position.clone(),
            condition: self.condition.clone(),
            quantity: self.quantity,
        }
    }

    /// The same item for the other room, still to be found.
    #[must_use]
    pub fn like(&self) -> Self {
        Self {
            room: self.room.other(),
            source: Source::Unknown,
            gift_id: None,
            by_whom: String::new(),
            state: ThingState::Wanted,
            ..self.clone()
        }
    }
}

impl Thing {
    /// The address of its page.
    #[must_use]
    pub fn href(&self) -> String {
        format!("/events/{}/rooms/items/{}", self.event_id, self.id)
    }
}

/// Items for the rooms must be here this many days before burn day. Common practice.
const COLLECTED: i64 = 25;

fn collected_by(burn_on: Date) -> Date {
    burn_on - time::Duration::days(COLLECTED)
}

/// "1,200".
fn grouped(number: impl std::borrow::Borrow<u32>) -> String {
    words::grouped(usize::try_from(*number.borrow()).unwrap_or(usize::MAX))
}

/// "38 days left", "burn day has passed".
fn days_left(burn_on: Date, today: Date) -> String {
    match (burn_on - today).whole_days() {
        0 => "burn day is today".to_owned(),
        ..0 => "burn day has passed".to_owned(),
        days => format!("{} left", words::count(usize::try_from(days).unwrap_or(0), "day", "days")),
    }
}
