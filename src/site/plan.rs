//! The drawing as the store keeps it.

use super::basis::Basis;
use crate::calc::site::{INCH, Item, Kind, Place, Shape, Site};
use crate::web::form::Mistakes;
use serde::{Deserialize, Serialize};

/// At most this many things are on a drawing, and this many corners in an outline or a path.
pub const MOST_ITEMS: usize = 400;
pub(super) const MOST_CORNERS: usize = 60;
/// A drawing reaches at most this far, in meters (about half a mile).
pub(super) const FARTHEST: f64 = 800.0;

/// Everything that can be undone: the things, what the checks rest on, and the photo below.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Plan {
    pub items: Vec<Drawn>,
    /// The highest number that anything ever had here.
    pub last: u32,
    pub basis: Basis,
    /// The number of the change that last changed it.
    #[serde(default)]
    pub basis_version: i64,
    pub photo: Option<Photo>,
}

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

/// A photo taken from above. Its top left corner is the drawing's.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Photo {
    pub id: i64,
    /// In pixels.
    pub width: u32,
    pub height: u32,
    /// None until someone said how long something on it is.
    pub meters_per_pixel: Option<f64>,
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

/// To a tenth of a millimeter, so that inches stay what they were.
pub(super) fn rounded(meters: f64) -> f64 {
    (meters * 10_000.0).round() / 10_000.0
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

impl Plan {
    #[must_use]
    pub fn find(&self, id: u32) -> Option<&Drawn> {
        self.items.iter().find(|item| item.id == id)
    }

    pub(super) fn find_mut(&mut self, id: u32) -> Option<&mut Drawn> {
        self.items.iter_mut().find(|item| item.id == id)
    }

    /// Adds something, with the next number.
    pub fn add(&mut self, drawn: Drawn) -> u32 {
        self.last += 1;
        self.items.push(Drawn { id: self.last, ..drawn });
        self.last
    }

    /// Is nothing on it, not even a photo?
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.items.is_empty() && self.photo.is_none()
    }

    /// Where something new is put: the middle of the drawing, or beside what is there already.
    #[must_use]
    pub fn free_place(&self) -> (f64, f64) {
        let (width, height) = self.extent();
        let taken = |x: f64, y: f64| {
            self.items.iter().any(|drawn| drawn.at.iter().any(|(ox, oy)| (x - ox).hypot(y - oy) < 3.0))
        };
        let places = (0..48_u8).map(|step| {
            let (ring, side) = (f64::from(step / 8) + 1.0, f64::from(step % 8));
            let (sin, cos) = (side * 45.0_f64).to_radians().sin_cos();
            (rounded(width / 2.0 + 5.0 * ring * cos), rounded(height / 2.0 + 5.0 * ring * sin))
        });
        let middle = (rounded(width / 2.0), rounded(height / 2.0));
        std::iter::once(middle).chain(places).find(|(x, y)| !taken(*x, *y)).unwrap_or(middle)
    }

    /// An earlier drawing as a new change: everything has a new version, and no number is
    /// given twice.
    #[must_use]
    pub(super) fn renewed(&self, last: u32, version: i64) -> Self {
        let items = self.items.iter().map(|drawn| Drawn { version, ..drawn.clone() });
        Self { items: items.collect(), last: self.last.max(last), basis_version: version, ..self.clone() }
    }

    /// Width and height of the drawing, in meters.
    #[must_use]
    pub fn extent(&self) -> (f64, f64) {
        let photo = self.photo.as_ref().and_then(|photo| {
            let scale = photo.meters_per_pixel?;
            Some((f64::from(photo.width) * scale, f64::from(photo.height) * scale))
        });
        let (width, height) = photo.unwrap_or((75.0, 55.0));
        let edges = self.items.iter().flat_map(|drawn| drawn.item().edge());
        edges.fold((width, height), |(width, height), place| (width.max(place.x + 5.0), height.max(place.y + 5.0)))
    }

    /// As the checks read it.
    ///
    /// # Errors
    /// What is wrong with what it rests on.
    pub fn site(&self) -> Result<Site, Mistakes> {
        let mut site = self.basis.read()?;
        site.items = self.items.iter().map(Drawn::item).collect();
        Ok(site)
    }
}
