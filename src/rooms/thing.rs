//! A line of a room's list.

use super::hazard::Hazard;
use super::room::Room;
use super::size::Size;
use crate::calc::pairs;
use crate::named::named;

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
