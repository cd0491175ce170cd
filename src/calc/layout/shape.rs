//! What is drawn, and its plain geometry.

use super::ROUNDING;
use geo::{Area, BooleanOps, Distance, Euclidean, LineString, Polygon, unary_union};

/// Nothing is drawn farther away or larger, m. It keeps the arithmetic finite.
const FARTHEST: f64 = 1000.0;

/// The inside of a room. Its whole front is open, except for clear panels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frame {
    /// From the left wall to the right, m.
    pub width: f64,
    /// From the back wall to the front, m.
    pub depth: f64,
    /// From the floor to the ceiling, m.
    pub height: f64,
}

/// How a clear panel is held.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fastening {
    /// With screws: the crew needs a tool.
    Screwed,
    /// The crew takes it off without tools.
    QuickRelease,
    /// No one said.
    Unknown,
}

/// What something in the room is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Use {
    /// The wastebasket that is lit first.
    Basket,
    /// A curtain.
    Curtain,
    /// A carpet.
    Carpet,
    /// A clear sheet across the upper part of the front, which holds the smoke in view. It
    /// softens and falls: it gives no fire protection.
    ClearPanel {
        /// How it is held.
        fastened: Fastening,
    },
    /// A sheet on the ground before the front of room A, for what drips or falls out.
    CatchBoard,
    /// Pendent: its underside is the deflector.
    Sprinkler,
    /// A smoke alarm.
    Alarm,
    /// The hole in the back wall that the fuse comes through.
    FuseHole,
    /// Anything else that burns.
    Fuel,
    /// Anything else.
    Other,
}

/// Is it room A or room B?
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Protection {
    /// Room A.
    Unprotected,
    /// Room B.
    Sprinklered,
}

/// A side of the room, as the audience sees it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// The left wall.
    Left,
    /// The right wall.
    Right,
    /// The back wall.
    Back,
    /// The open side, toward the audience.
    Front,
    /// The floor.
    Floor,
    /// The ceiling.
    Ceiling,
}

/// Something that is drawn: an upright box, turned in plan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placed {
    /// Unique within its room.
    pub id: u64,
    /// What it is for.
    pub what: Use,
    /// Its center from the left wall, m.
    pub x: f64,
    /// Its center from the back wall, m.
    pub y: f64,
    /// From its left to its right before it is turned, m.
    pub width: f64,
    /// From its back to its front before it is turned, m.
    pub depth: f64,
    /// From its underside to its top, m.
    pub height: f64,
    /// Its underside above the floor, m.
    pub above: f64,
    /// From x toward y, degrees. At 0 its front faces the audience.
    pub turn: f64,
}

impl Placed {
    /// Its corners in plan: back left, back right, front right, and front left before it is
    /// turned. A size below zero counts as none.
    #[must_use]
    pub fn corners(&self) -> [(f64, f64); 4] {
        let (sin, cos) = self.turn.to_radians().sin_cos();
        let (x, y) = (place(self.x), place(self.y));
        let (across, along) = (size(self.width) / 2.0, size(self.depth) / 2.0);
        [(-across, -along), (across, -along), (across, along), (-across, along)]
            .map(|(right, front)| (x + right * cos - front * sin, y + right * sin + front * cos))
    }

    /// Its upper edge above the floor, m.
    #[must_use]
    pub fn top(&self) -> f64 {
        self.underside() + size(self.height)
    }

    /// Its lower edge above the floor, m.
    #[must_use]
    pub fn underside(&self) -> f64 {
        place(self.above)
    }

    /// Its middle above the floor, m.
    #[must_use]
    pub fn middle(&self) -> f64 {
        f64::midpoint(self.underside(), self.top())
    }

    /// Where it begins and ends between the left wall and the right, m.
    #[must_use]
    pub fn across(&self) -> (f64, f64) {
        ends(self.corners().map(|(x, _)| x))
    }

    /// Where it begins and ends between the back wall and the front, m.
    #[must_use]
    pub fn along(&self) -> (f64, f64) {
        ends(self.corners().map(|(_, y)| y))
    }

    /// The gap to something else in plan, m; 0 if they touch or overlap.
    ///
    /// ```
    /// use burnday::calc::layout::{Placed, Use};
    ///
    /// let chair =
    ///     Placed { id: 1, what: Use::Fuel, x: 0.0, y: 0.0, width: 1.0, depth: 1.0, height: 1.0, above: 0.0, turn: 0.0 };
    /// let table = Placed { id: 2, x: 4.0, y: 5.0, ..chair };
    /// // Corner to corner: 3 m across and 4 m along.
    /// assert!((chair.gap(&table) - 5.0).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn gap(&self, other: &Self) -> f64 {
        Euclidean.distance(&self.outline(), &other.outline())
    }

    /// How far it must move in plan to clear something else, m; 0 if they don't overlap.
    #[must_use]
    pub fn overlap(&self, other: &Self) -> f64 {
        let (one, two) = (self.corners(), other.corners());
        // Two rectangles are apart if they are on an axis along one of their sides.
        let depths = [self, other].into_iter().flat_map(|item| {
            let (sin, cos) = item.turn.to_radians().sin_cos();
            [(cos, sin), (-sin, cos)]
        });
        let depths = depths.map(|(right, front)| {
            let on_axis = |(x, y): (f64, f64)| x * right + y * front;
            let ((from, to), (other_from, other_to)) = (ends(one.map(on_axis)), ends(two.map(on_axis)));
            (to - other_from).min(other_to - from)
        });
        depths.fold(f64::INFINITY, f64::min).max(0.0)
    }

    /// The same in a room that is built the other way around.
    #[must_use]
    pub fn mirrored(&self, frame: &Frame) -> Self {
        Self { x: size(frame.width) - self.x, turn: -self.turn, ..*self }
    }

    /// Its center to another's in plan, m.
    #[must_use]
    pub fn apart(&self, other: &Self) -> f64 {
        (place(self.x) - place(other.x)).hypot(place(self.y) - place(other.y))
    }

    /// Its outline in plan.
    pub(super) fn outline(&self) -> Polygon {
        polygon(&self.corners())
    }

    /// Its outline as the audience sees it.
    pub(super) fn front_view(&self) -> Polygon {
        let (left, right) = self.across();
        let (low, high) = (self.underside(), self.top());
        polygon(&[(left, low), (right, low), (right, high), (left, high)])
    }

    /// How far it sticks out at each side of the room, m; below 0 where it doesn't.
    pub(super) fn sticks_out(&self, frame: &Frame) -> [(Side, f64); 6] {
        let ((left, right), (back, front)) = (self.across(), self.along());
        [
            (Side::Left, -left),
            (Side::Right, right - size(frame.width)),
            (Side::Back, -back),
            (Side::Front, front - size(frame.depth)),
            (Side::Floor, -self.underside()),
            (Side::Ceiling, self.top() - size(frame.height)),
        ]
    }
}

impl Frame {
    pub(super) fn floor(&self) -> Polygon {
        rectangle(size(self.width), size(self.depth))
    }

    pub(super) fn front(&self) -> Polygon {
        rectangle(size(self.width), size(self.height))
    }
}

/// Is it within the room, and not through a wall, the floor, the ceiling, or the front?
#[must_use]
pub fn inside(frame: &Frame, item: &Placed) -> bool {
    item.sticks_out(frame).iter().all(|(_, by)| *by <= ROUNDING)
}

/// How much of an area is covered by parts, which may overlap, m².
pub(super) fn covered(area: &Polygon, parts: &[Polygon]) -> f64 {
    unary_union(parts).intersection(area).unsigned_area()
}

/// A place within bounds.
fn place(value: f64) -> f64 {
    value.clamp(-FARTHEST, FARTHEST)
}

/// A size within bounds. Below zero counts as none.
pub(super) fn size(value: f64) -> f64 {
    value.clamp(0.0, FARTHEST)
}

fn ends(values: [f64; 4]) -> (f64, f64) {
    values.into_iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(from, to), value| (from.min(value), to.max(value)))
}

fn rectangle(across: f64, along: f64) -> Polygon {
    polygon(&[(0.0, 0.0), (across, 0.0), (across, along), (0.0, along)])
}

fn polygon(corners: &[(f64, f64)]) -> Polygon {
    Polygon::new(LineString::from(corners.to_vec()), Vec::new())
}

#[cfg(test)]
mod tests;
