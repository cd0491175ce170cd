//! The forms of the drawn rooms.

use super::place::{Built, Frame, Place};
use crate::rooms::{feet, length, number};
use crate::web::form::{self, Mistakes};
use serde::Deserialize;

/// How large the rooms are.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(default)]
pub(super) struct FrameForm {
    pub width: String,
    pub depth: String,
    pub height: String,
    pub rod: String,
    pub panels: String,
    pub spare: String,
}

/// Rooms of 8 ft with a rod at 7 ft: common practice, no source.
impl Default for FrameForm {
    fn default() -> Self {
        let text = str::to_owned;
        Self {
            width: text("8 ft"),
            depth: text("8 ft"),
            height: text("8 ft"),
            rod: text("7 ft"),
            panels: text("4 ft"),
            spare: text("10"),
        }
    }
}

/// The name, the label, and the text of each field.
type Field<F> = (&'static str, &'static str, fn(&F) -> &String);

pub(super) const FRAME_FIELDS: [Field<FrameForm>; 6] = [
    ("width", "Width", |form| &form.width),
    ("depth", "Depth", |form| &form.depth),
    ("height", "Height", |form| &form.height),
    ("rod", "Curtain rods, above the floor", |form| &form.rod),
    ("panels", "Clear panels, from the top down", |form| &form.panels),
    ("spare", "Spare sheets, percent", |form| &form.spare),
];

impl FrameForm {
    pub fn of(frame: &Frame) -> Self {
        Self {
            width: feet(frame.width),
            depth: feet(frame.depth),
            height: feet(frame.height),
            rod: feet(frame.rod),
            panels: feet(frame.panels),
            spare: frame.spare.to_string(),
        }
    }

    pub fn read(&self, version: i64) -> Result<Frame, Mistakes> {
        let mut wrong = Mistakes::default();
        let mut read =
            |field, text: &str, least: f64, most: f64| wrong.note(field, length(text, least, most)).unwrap_or_default();
        let frame = Frame {
            width: read("width", &self.width, 4.0, 40.0),
            depth: read("depth", &self.depth, 4.0, 40.0),
            height: read("height", &self.height, 6.0, 16.0),
            rod: read("rod", &self.rod, 3.0, 16.0),
            panels: read("panels", &self.panels, 0.0, 12.0),
            spare: wrong.note("spare", form::number(&self.spare, 0, 200)).unwrap_or_default(),
            version,
        };
        for (field, value) in [("rod", frame.rod), ("panels", frame.panels)] {
            if wrong.of(field).is_empty() && wrong.of("height").is_empty() && value > frame.height {
                wrong.add(field, "This is higher than the room.");
            }
        }
        if wrong.is_empty() { Ok(frame) } else { Err(wrong) }
    }
}

/// Where an item stands.
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize)]
#[serde(default)]
pub(super) struct PlaceForm {
    pub x: String,
    pub y: String,
    pub above: String,
    pub turn: String,
    /// Of a clear panel.
    pub held: String,
    /// Of a built part: "yes" if it is built.
    pub built: String,
}

/// How a clear panel is held, and how a form says it.
pub(super) const HELD: [(&str, &str); 3] =
    [("", "not said"), ("screwed", "screwed on"), ("quick release", "on quick release")];

pub(super) const PLACE_FIELDS: [Field<PlaceForm>; 6] = [
    ("x", "From the left wall", |form| &form.x),
    ("y", "From the back wall", |form| &form.y),
    ("above", "Above the floor", |form| &form.above),
    ("turn", "Rotation, degrees", |form| &form.turn),
    ("held", "How it's mounted", |form| &form.held),
    ("built", "Already built", |form| &form.built),
];

impl PlaceForm {
    pub fn of(place: &Place) -> Self {
        let turn = (place.turn * 10.0).round() / 10.0;
        Self { x: feet(place.x), y: feet(place.y), above: feet(place.above), turn: turn.to_string(), ..Self::default() }
    }

    pub fn of_built(built: &Built) -> Self {
        let is_built = if built.is_built { "yes" } else { "" };
        Self { held: built.held.clone(), built: is_built.to_owned(), ..Self::of(&built.place) }
    }

    /// A built part with this place.
    pub fn built(&self, place: Place) -> Built {
        let held = HELD.iter().map(|(held, _)| *held).find(|held| *held == self.held).unwrap_or_default();
        Built { place, held: held.to_owned(), is_built: self.built == "yes" }
    }

    pub fn read(&self, version: i64) -> Result<Place, Mistakes> {
        let mut wrong = Mistakes::default();
        let mut read = |field, text: &str, most: f64| wrong.note(field, length(text, 0.0, most)).unwrap_or_default();
        let place = Place {
            x: read("x", &self.x, 40.0),
            y: read("y", &self.y, 60.0),
            above: read("above", &self.above, 16.0),
            turn: wrong.note("turn", number(&self.turn, -360.0, 360.0)).unwrap_or_default().rem_euclid(360.0),
            version,
        };
        if wrong.is_empty() { Ok(place) } else { Err(wrong) }
    }
}
