//! The form of one thing on the drawing.

use super::drawn::{Drawn, FARTHEST, MOST_CORNERS};
use super::typed::{feet, length, number, places, written};
use crate::calc::site::{FOOT, Kind, Shape};
use crate::web::form::{self, Mistakes};
use serde::Deserialize;

/// What is typed about something on the drawing.
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize)]
#[serde(default)]
pub struct ItemForm {
    pub kind: String,
    pub name: String,
    /// Of a spot, its center.
    pub x: String,
    pub y: String,
    /// Of an outline or a path, a corner a line.
    pub corners: String,
    pub width: String,
    pub depth: String,
    pub turn: String,
    pub height: String,
    pub count: String,
    pub level: String,
}

/// A field: its name, its label, and its text.
type Field = (&'static str, &'static str, fn(&ItemForm) -> &String);

pub(super) const FIELDS: [Field; 10] = [
    ("name", "Name", |form| &form.name),
    ("x", "From the left", |form| &form.x),
    ("y", "From the top", |form| &form.y),
    ("corners", "Corners", |form| &form.corners),
    ("width", "Width", |form| &form.width),
    ("depth", "Depth", |form| &form.depth),
    ("turn", "Rotation, degrees", |form| &form.turn),
    ("height", "Height of its floor", |form| &form.height),
    ("count", "How many", |form| &form.count),
    ("level", "Level at 3 ft, dBA", |form| &form.level),
];

/// Has something of this kind a floor above the ground?
pub(super) fn has_height(kind: Kind) -> bool {
    kind.is_room() || kind == Kind::Wheelchair
}

pub(super) fn has_count(kind: Kind) -> bool {
    matches!(kind, Kind::Wheelchair | Kind::Toilets)
}

pub(super) fn has_level(kind: Kind) -> bool {
    matches!(kind, Kind::Speaker | Kind::Pump)
}

impl ItemForm {
    pub fn of(drawn: &Drawn) -> Self {
        let is_spot = drawn.kind.shape() == Shape::Spot;
        let of_spot = |text: String| if is_spot { text } else { String::new() };
        let (x, y) = drawn.at.first().copied().unwrap_or_default();
        let number = |value: f64| format!("{}", (value * 10.0).round() / 10.0);
        Self {
            kind: drawn.kind.to_string(),
            name: drawn.name.clone(),
            x: of_spot(feet(x)),
            y: of_spot(feet(y)),
            corners: if is_spot { String::new() } else { written(&drawn.at) },
            width: if drawn.kind.shape() == Shape::Area { String::new() } else { feet(drawn.width) },
            depth: of_spot(feet(drawn.depth)),
            turn: of_spot(number(drawn.turn)),
            height: if has_height(drawn.kind) { feet(drawn.height) } else { String::new() },
            count: if has_count(drawn.kind) { drawn.count.to_string() } else { String::new() },
            level: if has_level(drawn.kind) { number(drawn.level) } else { String::new() },
        }
    }

    /// Reads it. What its kind doesn't have stays as it was.
    ///
    /// # Errors
    /// What can't be used, by field.
    pub fn read(&self, old: &Drawn) -> Result<Drawn, Mistakes> {
        let mut wrong = Mistakes::default();
        let farthest = (FARTHEST / FOOT).floor();
        let mut new =
            Drawn { name: wrong.note("name", form::optional_line(&self.name, 60)).unwrap_or_default(), ..old.clone() };
        let mut read = |field, text: &str, most: f64, into: &mut f64| {
            if let Some(value) = wrong.note(field, length(text, 0.0, most)) {
                *into = value;
            }
        };
        match old.kind.shape() {
            Shape::Spot => {
                let (mut x, mut y) = (0.0, 0.0);
                read("x", &self.x, farthest, &mut x);
                read("y", &self.y, farthest, &mut y);
                new.at = vec![(x, y)];
                read("width", &self.width, 600.0, &mut new.width);
                read("depth", &self.depth, 600.0, &mut new.depth);
            }
            Shape::Line => read("width", &self.width, 200.0, &mut new.width),
            Shape::Area => {}
        }
        if has_height(old.kind) {
            read("height", &self.height, 20.0, &mut new.height);
        }
        if old.kind.shape() == Shape::Spot {
            if let Some(turn) = wrong.note("turn", number(&self.turn, -360.0, 360.0)) {
                new.turn = turn.rem_euclid(360.0);
            }
            for (field, size) in [("width", new.width), ("depth", new.depth)] {
                if wrong.of(field).is_empty() && size < 0.05 {
                    wrong.add(field, "Enter a length above zero.");
                }
            }
        } else if let Some(at) = wrong.note("corners", self.corners()) {
            new.at = at;
        }
        if has_count(old.kind) {
            new.count = wrong.note("count", form::number(&self.count, 1, 500)).unwrap_or_default();
        }
        if has_level(old.kind) {
            new.level = wrong.note("level", number(&self.level, 40.0, 140.0)).unwrap_or_default();
        }
        if wrong.is_empty()
            && let Some(why) = new.wrong()
        {
            wrong.add(if old.kind.shape() == Shape::Spot { "x" } else { "corners" }, why);
        }
        if wrong.is_empty() { Ok(new) } else { Err(wrong) }
    }

    fn corners(&self) -> Result<Vec<(f64, f64)>, String> {
        let read = places(&self.corners)?;
        if read.len() > MOST_CORNERS {
            return Err(format!("At most {MOST_CORNERS} corners, please."));
        }
        Ok(read)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_shown_reads_back_as_it_was() {
        for kind in Kind::ALL {
            let drawn = Drawn { turn: 12.5, ..Drawn::usual(3, kind, (60.96, 45.72)) };
            let drawn = if kind.shape() == Shape::Spot { drawn } else { Drawn { turn: 0.0, ..drawn } };
            assert_eq!(ItemForm::of(&drawn).read(&drawn), Ok(drawn), "{kind}");
        }
    }

    #[test]
    fn what_cannot_be_drawn_is_told_at_its_field() {
        let crowd = Drawn::usual(1, Kind::Crowd, (60.0, 60.0));
        let bow = "10 ft, 10 ft\n60 ft, 60 ft\n60 ft, 10 ft\n10 ft, 60 ft";
        let typed = |corners: &str| ItemForm { corners: corners.to_owned(), ..ItemForm::of(&crowd) };
        for wrong in [bow, "10 ft, 10 ft\n60 ft, 60 ft", "", "10 ft, 10 ft\n10 ft, 10 ft\n10 ft, 10 ft", "9 miles, 3"] {
            assert!(!typed(wrong).read(&crowd).unwrap_err().of("corners").is_empty(), "{wrong}");
        }
        let room = Drawn::usual(2, Kind::RoomA, (30.0, 30.0));
        let flat = ItemForm {
            width: "0 ft".to_owned(),
            depth: "x".to_owned(),
            turn: "sideways".to_owned(),
            ..ItemForm::of(&room)
        };
        let wrong = flat.read(&room).unwrap_err();
        for field in ["width", "depth", "turn"] {
            assert!(!wrong.of(field).is_empty(), "{field}");
        }
    }
}
