//! A thing on the drawing as the store keeps it.

use super::typed::rounded;
use crate::calc::site::{INCH, Item, Kind, Place, Shape};
use serde::{Deserialize, Serialize};

/// At most this many corners are in an outline or a path.
pub(super) const MOST_CORNERS: usize = 60;

/// A drawing reaches at most this far, in meters (about half a mile).
pub(super) const FARTHEST: f64 = 800.0;

/// A thing on the drawing, in meters and degrees.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Drawn {
    pub id: u32,
    #[serde(with = "as_words")]
    pub kind: Kind,
    #[serde(default)]
    pub name: String,
    pub at: Vec<(f64, f64)>,
    #[serde(default)]
    pub width: f64,
    #[serde(default)]
    pub depth: f64,
    #[serde(default)]
    pub turn: f64,
    #[serde(default)]
    pub height: f64,
    #[serde(default)]
    pub count: u32,
    #[serde(default)]
    pub level: f64,
    /// The number of the change that last changed it.
    #[serde(default)]
    pub version: i64,
}

mod as_words {
    use super::Kind;
    use serde::{Deserialize, Deserializer, Serializer, de::Error};

    #[expect(clippy::trivially_copy_pass_by_ref, reason = "serde asks for this shape")]
    pub fn serialize<S: Serializer>(kind: &Kind, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(kind.as_str())
    }

    pub fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Kind, D::Error> {
        String::deserialize(from)?.parse().map_err(D::Error::custom)
    }
}

impl Drawn {
    /// A new one with the usual size, in the middle of a place.
    #[must_use]
    pub fn usual(id: u32, kind: Kind, (x, y): (f64, f64)) -> Self {
        let feet = |feet: f64| rounded(feet * 12.0 * INCH);
        let (width, depth) = usual_size(kind);
        let (width, depth) = (feet(width), feet(depth));
        let around = |w: f64, d: f64| vec![(x - w, y - d), (x + w, y - d), (x + w, y + d), (x - w, y + d)];
        let at = match kind.shape() {
            Shape::Spot => vec![(x, y)],
            Shape::Area => around(width / 2.0, depth / 2.0),
            Shape::Line => vec![(x - depth / 2.0, y), (x + depth / 2.0, y)],
        };
        let at = at.into_iter().map(|(x, y)| (rounded(x.max(0.0)), rounded(y.max(0.0)))).collect();
        let (width, depth) = match kind.shape() {
            Shape::Spot => (width, depth),
            Shape::Area => (0.0, 0.0),
            Shape::Line => (width, 0.0),
        };
        let count = match kind {
            Kind::Wheelchair => 4,
            Kind::Toilets => 2,
            _ => 0,
        };
        let level = match kind {
            Kind::Speaker => 100.0,
            Kind::Pump => 90.0,
            _ => 0.0,
        };
        Self { id, kind, name: String::new(), at, width, depth, turn: 0.0, height: 0.0, count, level, version: 0 }
    }

    /// What people call it.
    #[must_use]
    pub fn called(&self) -> String {
        if self.name.is_empty() { crate::web::words::capital(self.kind.as_str()) } else { self.name.clone() }
    }

    pub(super) fn item(&self) -> Item {
        Item {
            id: self.id,
            kind: self.kind,
            name: self.called(),
            at: self.at.iter().map(|(x, y)| Place { x: *x, y: *y }).collect(),
            width: self.width,
            depth: self.depth,
            turn: self.turn,
            height: self.height,
            count: self.count,
            level: self.level,
        }
    }

    /// Why it can't be drawn like this; none if it can.
    pub(super) fn wrong(&self) -> Option<String> {
        let within = |value: f64| (0.0..=FARTHEST).contains(&value);
        if !self.at.iter().all(|(x, y)| within(*x) && within(*y)) {
            return Some("Keep it on the drawing: right of its left edge, below its top edge.".to_owned());
        }
        let least = match self.kind.shape() {
            Shape::Spot => 1,
            Shape::Area => 3,
            Shape::Line => 2,
        };
        if self.at.len() < least {
            return Some(if least == 3 {
                "An outline needs three corners or more.".to_owned()
            } else {
                "A line needs two points or more.".to_owned()
            });
        }
        if self.at.len() > MOST_CORNERS || (least == 1 && self.at.len() > 1) {
            return Some(format!("At most {MOST_CORNERS} corners, please."));
        }
        if self.item().is_tangled() {
            return Some(
                "This outline crosses itself or has no room inside. Put the corners in order around it.".to_owned(),
            );
        }
        None
    }
}

/// Width and depth in feet. Of an area both, of a line its width and its length.
fn usual_size(kind: Kind) -> (f64, f64) {
    match kind {
        Kind::RoomA | Kind::RoomB => (8.0, 8.0),
        Kind::Crowd => (90.0, 30.0),
        Kind::Press => (20.0, 10.0),
        Kind::Parking | Kind::DryGrass => (100.0, 60.0),
        Kind::Gate | Kind::Quiet | Kind::LostChild | Kind::Command => (10.0, 10.0),
        Kind::Wheelchair => (12.0, 5.0),
        Kind::Interpreter | Kind::Hydrant | Kind::Gas => (4.0, 4.0),
        Kind::Speaker => (2.0, 2.0),
        Kind::Toilets => (8.0, 4.0),
        Kind::Engine => (9.0, 30.0),
        Kind::Pump => (3.0, 3.0),
        Kind::Tank => (12.0, 12.0),
        Kind::Ambulance => (8.0, 22.0),
        Kind::Shield => (1.0, 8.0),
        Kind::Neighbor | Kind::School => (40.0, 30.0),
        Kind::Landing => (100.0, 100.0),
        Kind::Vehicle => (6.0, 16.0),
        Kind::Hose | Kind::Escort => (0.0, 60.0),
        Kind::FireLane => (20.0, 100.0),
        Kind::Road => (24.0, 200.0),
        Kind::Overhead => (0.0, 200.0),
    }
}
