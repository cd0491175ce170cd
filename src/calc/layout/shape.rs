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
mod tests {
    use super::super::testing::{ROOM, placed};
    use super::super::{FOOT, INCH};
    use super::*;
    use proptest::prelude::*;

    fn near(value: f64, wanted: f64) {
        assert!((value - wanted).abs() < 1e-9, "{value} instead of {wanted}");
    }

    fn turned((x, y, width, depth, turn): (f64, f64, f64, f64, f64)) -> Placed {
        Placed { id: 1, what: Use::Fuel, x, y, width, depth, height: 1.0, above: 0.0, turn }
    }

    /// By hand.
    #[test]
    fn corners_turn_from_x_toward_y() {
        // 2 m across and 1 m along; after a quarter turn, the back left corner is at the right.
        let corners = turned((5.0, 5.0, 2.0, 1.0, 90.0)).corners();
        for ((x, y), (right, front)) in corners.into_iter().zip([(5.5, 4.0), (5.5, 6.0), (4.5, 6.0), (4.5, 4.0)]) {
            near(x, right);
            near(y, front);
        }
    }

    /// By hand: a square of 1 m, turned by 45 degrees, reaches √½ m from its center.
    #[test]
    fn gaps_and_overlaps_by_hand() {
        let square = turned((0.0, 0.0, 1.0, 1.0, 0.0));
        near(square.gap(&turned((3.0, 0.0, 1.0, 1.0, 0.0))), 2.0);
        near(square.gap(&turned((1.0, 1.0, 1.0, 1.0, 0.0))), 0.0);
        near(square.gap(&turned((3.0, 0.0, 1.0, 1.0, 45.0))), 3.0 - 0.5 - 0.5_f64.sqrt());
        near(square.overlap(&turned((0.75, 0.0, 1.0, 1.0, 0.0))), 0.25);
        near(square.overlap(&turned((1.0, 0.0, 1.0, 1.0, 45.0))), 0.5 + 0.5_f64.sqrt() - 1.0);
        near(square.overlap(&turned((3.0, 0.0, 1.0, 1.0, 0.0))), 0.0);
        // One within the other: 0.5 + 0.1 m to the nearest way out.
        near(square.overlap(&turned((0.0, 0.0, 0.2, 0.2, 0.0))), 0.6);
    }

    /// Computed by shapely 2.2.0.
    #[test]
    fn gaps_by_shapely() {
        for (one, two, gap) in [
            ((0.5, 0.5, 1.0, 0.4, 30.0), (2.0, 1.5, 0.8, 0.6, -20.0), 0.812_649_235_609),
            ((1.2, 0.3, 0.6, 0.6, 45.0), (0.2, 1.9, 1.5, 0.2, 75.0), 1.076_875_090_707),
            ((0.4, 2.0, 1.9, 0.9, 10.0), (2.1, 2.2, 0.3, 0.3, 60.0), 0.547_578_007_733),
            ((1.0, 1.0, 0.5, 1.7, 120.0), (2.3, 0.2, 1.1, 0.1, -135.0), 0.973_446_595_582),
            ((0.3, 0.3, 0.3048, 0.3048, 0.0), (1.1, 0.1, 1.2192, 0.0508, 5.0), 0.084_506_007_879),
            ((1.0, 1.0, 2.0, 0.5, 15.0), (1.2, 1.3, 0.4, 0.4, 200.0), 0.0),
            ((0.9, 2.1, 0.0, 0.0, 0.0), (0.1, 0.4, 1.0, 1.0, 33.0), 1.201_311_137_309),
        ] {
            near(turned(one).gap(&turned(two)), gap);
        }
    }

    /// The international inch is 25.4 mm and the foot 12 of it, exactly.
    #[test]
    fn inches_are_exact() {
        near(12.0 * INCH, FOOT);
        near(96.0 * INCH, 2.4384);
    }

    /// By hand: a room of 8 ft is 2.4384 m.
    #[test]
    fn what_is_inside() {
        let chair = Placed { x: 0.5, y: 0.5, ..turned((0.0, 0.0, 1.0, 1.0, 0.0)) };
        assert!(inside(&ROOM, &chair));
        // In a room that is less deep, it is through the front.
        let shallow = Frame { depth: 0.9, ..ROOM };
        assert!(!inside(&shallow, &chair));
        for out in [
            Placed { x: 0.49, ..chair },
            Placed { x: 1.95, ..chair },
            Placed { y: 0.49, ..chair },
            Placed { y: 1.95, ..chair },
            Placed { above: -0.01, ..chair },
            Placed { above: 1.45, ..chair },
            Placed { turn: 45.0, ..chair },
        ] {
            assert!(!inside(&ROOM, &out), "{out:?}");
        }
    }

    /// The same items, turned together about a place.
    fn turn_about(item: &Placed, (x, y): (f64, f64), turn: f64) -> Placed {
        let (sin, cos) = turn.to_radians().sin_cos();
        let (right, front) = (item.x - x, item.y - y);
        Placed { x: x + right * cos - front * sin, y: y + right * sin + front * cos, turn: item.turn + turn, ..*item }
    }

    fn extreme() -> impl Strategy<Value = f64> {
        use prop::num::f64::{NEGATIVE, NORMAL, POSITIVE, SUBNORMAL, ZERO};
        prop_oneof![POSITIVE | NEGATIVE | NORMAL | SUBNORMAL | ZERO, -3.0..3.0]
    }

    proptest! {
        #[test]
        fn turning_everything_changes_no_gap(
            one in placed(), two in placed(), x in -5.0..5.0, y in -5.0..5.0, turn in -720.0..720.0,
        ) {
            let (other_one, other_two) = (turn_about(&one, (x, y), turn), turn_about(&two, (x, y), turn));
            prop_assert!((one.gap(&two) - other_one.gap(&other_two)).abs() < 1e-9);
            prop_assert!((one.overlap(&two) - other_one.overlap(&other_two)).abs() < 1e-9);
        }

        #[test]
        fn mirrored_twice_is_the_same(one in placed(), two in placed()) {
            let twice = one.mirrored(&ROOM).mirrored(&ROOM);
            prop_assert!(one.apart(&twice) < 1e-12 && (one.turn - twice.turn).abs() < 1e-12);
            let gap = one.mirrored(&ROOM).gap(&two.mirrored(&ROOM));
            prop_assert!((gap - one.gap(&two)).abs() < 1e-9);
        }

        #[test]
        fn moving_away_never_lowers_a_gap(one in placed(), two in placed(), times in 0.0..3.0) {
            let away = Placed { x: two.x + times * (two.x - one.x), y: two.y + times * (two.y - one.y), ..two };
            prop_assert!(one.gap(&away) >= one.gap(&two) - 1e-9);
        }

        /// `geo` measures gaps and we measure overlaps: there is never both.
        #[test]
        fn a_gap_or_an_overlap(one in placed(), two in placed()) {
            prop_assume!(one.width.min(one.depth).min(two.width).min(two.depth) > 0.001);
            let (gap, overlap) = (one.gap(&two), one.overlap(&two));
            prop_assert!((gap > 0.0) != (overlap > 1e-12) || gap.max(overlap) < 1e-9, "{gap} {overlap}");
            // Clear, at the latest, with the centers half of both diagonals apart.
            prop_assert!(overlap <= f64::midpoint(one.width.hypot(one.depth), two.width.hypot(two.depth)) + 1e-9);
        }

        #[test]
        fn no_numbers_are_too_much(
            (x, y, turn) in (extreme(), extreme(), extreme()),
            (width, depth, height, above) in (extreme(), extreme(), extreme(), extreme()),
            two in placed(),
        ) {
            let item = Placed { id: 1, what: Use::Fuel, x, y, width, depth, height, above, turn };
            prop_assert!(item.gap(&two).is_finite() && item.overlap(&two).is_finite() && item.apart(&two).is_finite());
            let _ = inside(&ROOM, &item.mirrored(&ROOM));
            let far = Placed { x: f64::MAX, y: f64::MIN, ..item };
            let farther = Placed { x: f64::MIN, ..far };
            prop_assert!(far.gap(&item).is_finite() && far.apart(&farther).is_finite());
            let frame = Frame { width, depth, height };
            let part = covered(&frame.floor(), &[item.outline(), two.outline()]);
            prop_assert!(part.is_finite() && part >= 0.0);
        }
    }
}
