use super::super::testing::{ROOM, placed};
use super::super::{FOOT, INCH};
use super::*;
use proptest::prelude::*;

fn near(value: f64, wanted: f64) {
    assert!((value - wanted).abs() < 1e-9, "{value} instead of {wanted}");
}

fn turned([x, y, width, depth, turn]: [f64; 5]) -> Placed {
    Placed { id: 1, what: Use::Fuel, x, y, width, depth, height: 1.0, above: 0.0, turn }
}

/// By hand.
#[test]
fn corners_turn_from_x_toward_y() {
    // 2 m across and 1 m along; after a quarter turn, the back left corner is at the right.
    let corners = turned([5.0, 5.0, 2.0, 1.0, 90.0]).corners();
    for ((x, y), (right, front)) in corners.into_iter().zip([(5.5, 4.0), (5.5, 6.0), (4.5, 6.0), (4.5, 4.0)]) {
        near(x, right);
        near(y, front);
    }
}

/// By hand: a square of 1 m, turned by 45 degrees, reaches √½ m from its center.
#[test]
fn gaps_and_overlaps_by_hand() {
    let square = turned([0.0, 0.0, 1.0, 1.0, 0.0]);
    near(square.gap(&turned([3.0, 0.0, 1.0, 1.0, 0.0])), 2.0);
    near(square.gap(&turned([1.0, 1.0, 1.0, 1.0, 0.0])), 0.0);
    near(square.gap(&turned([3.0, 0.0, 1.0, 1.0, 45.0])), 3.0 - 0.5 - 0.5_f64.sqrt());
    near(square.overlap(&turned([0.75, 0.0, 1.0, 1.0, 0.0])), 0.25);
    near(square.overlap(&turned([1.0, 0.0, 1.0, 1.0, 45.0])), 0.5 + 0.5_f64.sqrt() - 1.0);
    near(square.overlap(&turned([3.0, 0.0, 1.0, 1.0, 0.0])), 0.0);
    // One within the other: 0.5 + 0.1 m to the nearest way out.
    near(square.overlap(&turned([0.0, 0.0, 0.2, 0.2, 0.0])), 0.6);
}

/// Computed by shapely 2.2.0.
#[test]
fn gaps_by_shapely() {
    for (one, two, gap) in [
        ([0.5, 0.5, 1.0, 0.4, 30.0], [2.0, 1.5, 0.8, 0.6, -20.0], 0.812_649_235_609),
        ([1.2, 0.3, 0.6, 0.6, 45.0], [0.2, 1.9, 1.5, 0.2, 75.0], 1.076_875_090_707),
        ([0.4, 2.0, 1.9, 0.9, 10.0], [2.1, 2.2, 0.3, 0.3, 60.0], 0.547_578_007_733),
        ([1.0, 1.0, 0.5, 1.7, 120.0], [2.3, 0.2, 1.1, 0.1, -135.0], 0.973_446_595_582),
        ([0.3, 0.3, 0.3048, 0.3048, 0.0], [1.1, 0.1, 1.2192, 0.0508, 5.0], 0.084_506_007_879),
        ([1.0, 1.0, 2.0, 0.5, 15.0], [1.2, 1.3, 0.4, 0.4, 200.0], 0.0),
        ([0.9, 2.1, 0.0, 0.0, 0.0], [0.1, 0.4, 1.0, 1.0, 33.0], 1.201_311_137_309),
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
    let chair = Placed { x: 0.5, y: 0.5, ..turned([0.0, 0.0, 1.0, 1.0, 0.0]) };
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
