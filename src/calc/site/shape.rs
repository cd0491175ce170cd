//! What is on the drawing of a site.

use super::sight::Posture;
use crate::named::named;
use geo::algorithm::Validation;
use geo::buffer::{BufferStyle, LineCap, LineJoin};
use geo::{Area, Buffer, Coord, Distance, Euclidean, Intersects, Line, LineString, LinesIter, Polygon};

/// No place on Earth is farther away, m.
const FARTHEST: f64 = 1e8;

/// A band without a width of its own is drawn this wide, m, so that it covers some ground.
const THINNEST: f64 = 0.02;
/// Where a path turns back sharper than this, in radians, its band's corner is cut off.
const SHARPEST: f64 = 0.5;

/// A place on the drawing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// To the right, m.
    pub x: f64,
    /// Up on the drawing, m.
    pub y: f64,
}

/// How something is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// A rectangle around one place.
    Spot,
    /// An outline.
    Area,
    /// A path.
    Line,
}

named! {
    /// What something on the drawing is.
    Kind, "Choose what it is.", KINDS: [
        RoomA = "room A",
        RoomB = "room B",
        Crowd = "crowd",
        Press = "press area",
        Gate = "gate",
        Wheelchair = "wheelchair spaces",
        Interpreter = "interpreter",
        Speaker = "speaker",
        Quiet = "quiet area",
        LostChild = "lost-child point",
        Toilets = "restrooms",
        Parking = "parking",
        Engine = "engine",
        Pump = "pump",
        Hydrant = "hydrant",
        Tank = "water tank",
        Hose = "hose line",
        Command = "command post",
        Ambulance = "ambulance",
        FireLane = "fire lane",
        Escort = "press escort path",
        Shield = "shield",
        Road = "road",
        Overhead = "overhead line",
        Neighbor = "neighbor",
        School = "school or hospital",
        Landing = "helicopter landing zone",
        Gas = "gas tank",
        Vehicle = "vehicle",
        DryGrass = "dry grass",
    ]
}

impl Kind {
    /// How it is drawn.
    #[must_use]
    pub const fn shape(self) -> Shape {
        match self {
            Self::Crowd | Self::Press | Self::Parking | Self::DryGrass => Shape::Area,
            Self::Hose | Self::FireLane | Self::Escort | Self::Road | Self::Overhead => Shape::Line,
            _ => Shape::Spot,
        }
    }

    /// Is it one of the two rooms?
    #[must_use]
    pub const fn is_room(self) -> bool {
        matches!(self, Self::RoomA | Self::RoomB)
    }

    /// Is it a place where the public or a guest spends time?
    #[must_use]
    pub const fn is_public(self) -> bool {
        matches!(
            self,
            Self::Crowd
                | Self::Wheelchair
                | Self::Interpreter
                | Self::Quiet
                | Self::LostChild
                | Self::Gate
                | Self::Toilets
        )
    }
}

/// Something on the drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// Unique on the drawing.
    pub id: u32,
    /// What it is.
    pub kind: Kind,
    /// What people call it; empty if nothing.
    pub name: String,
    /// The center of a spot, the corners of an area, the points of a line.
    pub at: Vec<Place>,
    /// Of a spot, from its left to its right. Of a line, across it.
    pub width: f64,
    /// Of a spot, from its back to its front.
    pub depth: f64,
    /// Of a spot. Unturned, its front faces down the drawing.
    pub turn: f64,
    /// Of a room, its floor above the ground; of wheelchair spaces, their platform.
    pub height: f64,
    /// How many there are in it: wheelchair spaces, restrooms.
    pub count: u32,
    /// Of a speaker or a pump, at 1 m.
    pub level: f64,
}

impl Item {
    /// A turned rectangle's corners, from its back left, clockwise as drawn.
    #[must_use]
    pub fn corners(&self) -> [Place; 4] {
        let center = self.at.first().copied().unwrap_or(Place { x: 0.0, y: 0.0 });
        let (sin, cos) = self.turn.to_radians().sin_cos();
        [(-0.5, -0.5), (0.5, -0.5), (0.5, 0.5), (-0.5, 0.5)].map(|(across, along)| {
            let (x, y) = (across * self.width, along * self.depth);
            Place { x: center.x + x * cos - y * sin, y: center.y + x * sin + y * cos }
        })
    }

    /// The two ends of a spot's front.
    #[must_use]
    pub fn front(&self) -> [Place; 2] {
        let [.., right, left] = self.corners();
        [left, right]
    }

    /// The ground it covers. A line has a width of its own only if it was given one.
    #[must_use]
    pub fn outline(&self) -> Polygon {
        match self.kind.shape() {
            Shape::Spot => polygon(&self.corners()),
            Shape::Area => polygon(&self.at),
            Shape::Line => self.band(),
        }
    }

    /// A line's points.
    #[must_use]
    pub fn path(&self) -> LineString {
        LineString::new(self.at.iter().map(|place| coord(*place)).collect())
    }

    fn band(&self) -> Polygon {
        let half = self.width.max(THINNEST) / 2.0;
        match self.at.as_slice() {
            [] | [_] => polygon(&[]),
            [from, to] => strip(*from, *to, half),
            at if are_near(at) && half <= FARTHEST => bent(at, half),
            _ => polygon(&[]),
        }
    }

    /// The pieces of its path. A path of one place is a piece without length.
    fn pieces(&self) -> impl Iterator<Item = Line> {
        let only = self.at.first().filter(|_| self.at.len() == 1).map(|place| (*place, *place));
        let pieces = self.at.windows(2).map(|ends| (ends[0], ends[1]));
        pieces.chain(only).map(|(from, to)| Line::new(coord(from), coord(to)))
    }

    /// From what it covers to the nearest place of something else; 0 where they meet, infinite
    /// if it isn't drawn. A line counts with its width as given, however thin.
    pub(super) fn reaches<T>(&self, other: &T) -> f64
    where
        Euclidean: for<'a> Distance<f64, &'a Line, &'a T> + for<'a> Distance<f64, &'a Polygon, &'a T>,
    {
        match self.kind.shape() {
            Shape::Line => {
                let path = self.pieces().map(|piece| Euclidean.distance(&piece, other)).fold(f64::INFINITY, f64::min);
                (path - self.width.max(0.0) / 2.0).max(0.0)
            }
            Shape::Area if self.at.is_empty() => f64::INFINITY,
            Shape::Area | Shape::Spot => Euclidean.distance(&self.outline(), other),
        }
    }

    /// The direction its front faces, as a step of one meter.
    #[must_use]
    pub fn facing(&self) -> Place {
        let (sin, cos) = self.turn.to_radians().sin_cos();
        Place { x: -sin, y: cos }
    }

    /// The middle of what is drawn.
    #[must_use]
    pub fn middle(&self) -> Place {
        let count = f64::from(u32::try_from(self.at.len().max(1)).unwrap_or(u32::MAX));
        let sum = self.at.iter().fold((0.0, 0.0), |sum, place| (sum.0 + place.x, sum.1 + place.y));
        Place { x: sum.0 / count, y: sum.1 / count }
    }

    /// The places of its outline or path.
    #[must_use]
    pub fn edge(&self) -> Vec<Place> {
        if self.kind.shape() == Shape::Spot { self.corners().to_vec() } else { self.at.clone() }
    }

    /// Does its outline cross itself, or cover no ground?
    #[must_use]
    pub fn is_tangled(&self) -> bool {
        self.kind.shape() == Shape::Area && !self.outline().is_valid()
    }

    /// From its outline to another's; 0 where they meet, infinite if one of them covers no
    /// ground.
    #[must_use]
    pub fn gap(&self, other: &Self) -> f64 {
        let (own, other) = (self.outline(), other.outline());
        if own.intersects(&other) {
            return 0.0;
        }
        // Edge by edge: the search for the nearest edge in `geo` fails on those of almost no length.
        let edges = own.lines_iter().filter(|_| !other.exterior().0.is_empty());
        edges.map(|edge| Euclidean.distance(&edge, &other)).fold(f64::INFINITY, f64::min)
    }

    /// The length of its path.
    #[must_use]
    pub fn length(&self) -> f64 {
        self.at.windows(2).map(|ends| ends[0].distance(ends[1])).sum()
    }
}

impl Place {
    /// How far away another place is, m.
    #[must_use]
    pub fn distance(self, other: Self) -> f64 {
        (self.x - other.x).hypot(self.y - other.y)
    }

    /// Halfway to another.
    #[must_use]
    pub fn halfway(self, other: Self) -> Self {
        Self { x: f64::midpoint(self.x, other.x), y: f64::midpoint(self.y, other.y) }
    }
}

/// The ground along a straight path; none if it has no length.
fn strip(from: Place, to: Place, half: f64) -> Polygon {
    let length = from.distance(to);
    let (x, y) = ((to.x - from.x) / length * half, (to.y - from.y) / length * half);
    let corners = [(from, 1.0), (to, 1.0), (to, -1.0), (from, -1.0)];
    polygon(&corners.map(|(end, side)| Place { x: end.x - side * y, y: end.y + side * x }))
}

/// The ground along a path with bends, the corners filled.
fn bent(at: &[Place], half: f64) -> Polygon {
    let path: LineString = at.iter().map(|place| coord(*place)).collect();
    let style = BufferStyle::new(half).line_cap(LineCap::Butt).line_join(LineJoin::Miter(SHARPEST));
    let grounds = path.buffer_with_style(style).into_iter();
    grounds.max_by(|one, two| one.unsigned_area().total_cmp(&two.unsigned_area())).unwrap_or_else(|| polygon(&[]))
}

pub(super) fn coord(place: Place) -> Coord {
    Coord { x: place.x, y: place.y }
}

pub(super) fn polygon(corners: &[Place]) -> Polygon {
    // A single corner counts twice: distances are measured from edges.
    let twice = corners.first().filter(|_| corners.len() == 1);
    let ring = corners.iter().chain(twice).map(|place| coord(*place));
    let is_near = are_near(corners);
    Polygon::new(ring.filter(|_| is_near).collect(), Vec::new())
}

/// Corners farther away than any place on Earth cover no ground; `geo` panics on the
/// largest numbers.
pub(super) fn are_near(places: &[Place]) -> bool {
    places.iter().all(|place| place.x.abs() <= FARTHEST && place.y.abs() <= FARTHEST)
}

/// The drawing, and what its checks rest on.
#[derive(Debug, Clone, PartialEq)]
pub struct Site {
    /// Everything drawn.
    pub items: Vec<Item>,
    /// The bearing that is up on the drawing.
    pub north: f64,
    /// Where people expect the wind from, as a bearing.
    pub wind_from: Option<f64>,
    /// The line the public stays behind, from the rooms' fronts.
    pub crowd_line: f64,
    /// People per square meter, and the share of the ground that stays free as aisles.
    pub density: f64,
    /// The share that stays free, of 1.
    pub aisles: f64,
    /// How people watch.
    pub posture: Posture,
    /// From one row to the next.
    pub row: f64,
    /// How much the ground under the crowd rises for each meter away from the rooms.
    pub rise: f64,
    /// What everyone should see, above the floor of a room.
    pub watched: f64,
    /// The noise of the crowd where someone listens, dBA.
    pub murmur: f64,
    /// Width of the ways out for each person, in inches, as the code in force asks.
    pub exit_inches: f64,
    /// How many people one restroom is for.
    pub people_per_toilet: u32,
    /// How many people come in one car.
    pub people_per_car: f64,
    /// Receivers for assisted listening that are there.
    pub receivers: u32,
    /// From lighting room A to the end of overhaul, minutes.
    pub minutes: u32,
}

impl Site {
    /// What is of a kind.
    pub fn of(&self, kind: Kind) -> impl Iterator<Item = &Item> {
        self.items.iter().filter(move |item| item.kind == kind)
    }

    /// All rooms, A first.
    #[must_use]
    pub fn rooms(&self) -> Vec<&Item> {
        self.of(Kind::RoomA).chain(self.of(Kind::RoomB)).collect()
    }

    /// The bearing from one place to another.
    #[must_use]
    pub fn bearing(&self, from: Place, to: Place) -> f64 {
        let up = (to.x - from.x).atan2(from.y - to.y).to_degrees();
        (up + self.north).rem_euclid(360.0)
    }
}
