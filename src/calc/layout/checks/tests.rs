//! Limits are common practice, without a source, unless a test names one. Numbers are
//! computed by hand, in inches.

use super::super::testing::{ROOM, item, placed, room_a, room_b};
use super::super::{FOOT, Fastening, INCH, Side};
use super::*;
use Grade::{Good, Look, Wrong};
use Protection::{Sprinklered, Unprotected};
use proptest::prelude::*;

fn near(value: f64, inches: f64) {
    assert!((value - inches * INCH).abs() < 1e-9, "{value} instead of {inches} in");
}

/// Room B with one item changed.
fn changed(id: u64, change: impl Fn(&mut Placed)) -> Vec<Finding> {
    let mut room = room_b();
    room.iter_mut().filter(|item| item.id == id).for_each(change);
    check(Sprinklered, &ROOM, &room)
}

/// The one finding of a kind.
#[track_caller]
fn only(found: &[Finding], is: impl Fn(&What) -> bool) -> Finding {
    let mut matching = found.iter().filter(|finding| is(&finding.what));
    let first = matching.next().expect("no such finding").clone();
    assert_eq!(matching.next(), None);
    first
}

macro_rules! grade {
    ($found:expr, $pattern:pat) => {
        only(&$found, |what| matches!(what, $pattern)).grade
    };
}

#[test]
fn rooms_as_they_should_be() {
    for (protection, room) in [(Unprotected, room_a()), (Sprinklered, room_b())] {
        let found = check(protection, &ROOM, &room);
        let bad: Vec<&Finding> = found.iter().filter(|finding| finding.grade != Good).collect();
        assert!(bad.is_empty(), "{bad:?}");
        assert!(found.len() > 10);
    }
}

#[test]
fn what_is_missing() {
    let missing = |protection| -> Vec<(What, Grade)> {
        let found = check(protection, &ROOM, &[]).into_iter();
        found.filter(|finding| finding.grade != Good).map(|finding| (finding.what, finding.grade)).collect()
    };
    let both = [(Use::Basket, Wrong), (Use::Alarm, Wrong)];
    let looks = [(Use::Curtain, Look), (Use::Carpet, Look), (Use::FuseHole, Look)];
    let named =
        |all: &[(Use, Grade)]| all.iter().map(|(what, grade)| (What::Missing(*what), *grade)).collect::<Vec<_>>();
    assert_eq!(missing(Unprotected), named(&[&both[..], &looks, &[(Use::CatchBoard, Look)]].concat()));
    assert_eq!(missing(Sprinklered), named(&[&both[..], &[(Use::Sprinkler, Wrong)], &looks].concat()));
    // B's sprinkler and its quick releases don't belong in A.
    let found = check(Unprotected, &ROOM, &room_b());
    assert_eq!(only(&found, |what| *what == What::SprinklerInA).items, [9]);
    assert_eq!(grade!(found, What::PanelFastening { wanted: Fastening::Screwed, .. }), Wrong);
}

#[test]
fn walls() {
    let out = |id, change: fn(&mut Placed)| {
        let finding = only(&changed(id, change), |what| matches!(what, What::Outside { .. }));
        assert_eq!((finding.grade, finding.items), (Wrong, vec![id]));
        let What::Outside { side, by } = finding.what else { unreachable!() };
        (side, by)
    };
    // The sofa is 40 in wide with its center at 68 in, so it ends at 88 of 96 in.
    let (side, by) = out(8, |sofa| sofa.x += 9.0 * INCH);
    assert_eq!(side, Side::Right);
    near(by, 1.0);
    // The basket is 12 in deep with its center at 10 in.
    let (side, by) = out(1, |basket| basket.y -= 6.0 * INCH);
    assert_eq!(side, Side::Back);
    near(by, 2.0);
    // The alarm's 2 in end at the ceiling.
    let (side, by) = out(4, |alarm| alarm.height += 3.0 * INCH);
    assert_eq!(side, Side::Ceiling);
    near(by, 3.0);
}

#[test]
fn overlaps() {
    let with = |other: Placed| {
        let mut room = room_b();
        room.push(other);
        check(Sprinklered, &ROOM, &room)
    };
    // The sofa covers 48 to 88 in across and 9 to 39 in along.
    let table = item(20, Use::Fuel, (68.0, 47.0), [20.0, 20.0, 18.0], 0.0);
    let finding = only(&with(table), |what| matches!(what, What::Overlap { .. }));
    assert_eq!((finding.grade, finding.items), (Wrong, vec![8, 20]));
    let What::Overlap { by } = finding.what else { unreachable!() };
    near(by, 2.0);
    // A curtain gives way to the sofa.
    let found = changed(2, |curtain| (curtain.x, curtain.y) = (68.0 * INCH, 9.0 * INCH));
    assert!(!found.iter().any(|finding| matches!(finding.what, What::Overlap { .. })));
    // A cushion on the sofa, a rug under it, and a table that touches it.
    for fine in [
        Placed { above: 18.0 * INCH, ..table },
        Placed { height: 0.5 * INCH, ..table },
        Placed { y: 49.0 * INCH, ..table },
    ] {
        assert!(!with(fine).iter().any(|finding| matches!(finding.what, What::Overlap { .. })), "{fine:?}");
    }
}

#[test]
fn the_basket() {
    for (inches, grade) in [(11.9, Look), (12.0, Good), (14.0, Good), (14.1, Look)] {
        assert_eq!(grade!(changed(1, |basket| basket.height = inches * INCH), What::BasketSize { .. }), grade);
        assert_eq!(grade!(changed(1, |basket| basket.width = inches * INCH), What::BasketSize { .. }), grade);
    }
    // Its back is 4 in from the wall, where the curtain's front is.
    for (inches, grade) in [(0.0, Good), (1.0, Good), (1.1, Wrong)] {
        let found = changed(1, |basket| basket.y += inches * INCH);
        let finding = only(&found, |what| matches!(what, What::BasketToCurtain { .. }));
        let What::BasketToCurtain { gap } = finding.what else { unreachable!() };
        near(gap, inches);
        assert_eq!((finding.grade, finding.items), (grade, vec![1, 2]));
    }
    // The nearest curtain counts.
    let mut room = room_b();
    room.push(item(20, Use::Curtain, (72.0, 3.0), [20.0, 2.0, 83.0], 1.0));
    assert_eq!(grade!(check(Sprinklered, &ROOM, &room), What::BasketToCurtain { .. }), Good);
    for (inches, grade) in [(2.0, Good), (2.1, Wrong)] {
        assert_eq!(grade!(changed(1, |basket| basket.y += inches * INCH), What::BasketToWall { .. }), grade);
    }
}

#[test]
fn the_fuse_hole() {
    for (inches, grade) in [(2.4, Look), (2.5, Good), (3.5, Good), (3.6, Look)] {
        assert_eq!(grade!(changed(5, |hole| hole.height = inches * INCH), What::FuseHoleSize { .. }), grade);
    }
    // The basket reaches 6 in to either side, and its rim is at 14 in. The hole's middle is
    // 1.5 in above its lower edge.
    let place = |change: &dyn Fn(&mut Placed)| {
        let finding = only(&changed(5, change), |what| matches!(what, What::FuseHolePlace { .. }));
        let What::FuseHolePlace { aside, above_rim, .. } = finding.what else { unreachable!() };
        (finding.grade, aside / INCH, above_rim / INCH)
    };
    for (aside, past, wanted) in [(6.0, 0.0, Good), (-6.0, 0.0, Good), (7.0, 1.0, Wrong), (-8.0, 2.0, Wrong)] {
        let (grade, found, _) = place(&|hole| hole.x += aside * INCH);
        assert_eq!(grade, wanted);
        assert!((found - past).abs() < 1e-6);
    }
    for (above, over, wanted) in [(18.5, 6.0, Good), (19.5, 7.0, Look), (-1.5, -14.0, Good), (-2.5, -15.0, Look)] {
        let (grade, _, found) = place(&|hole| hole.above = above * INCH);
        assert_eq!(grade, wanted);
        assert!((found - over).abs() < 1e-6);
    }
    assert_eq!(place(&|hole| hole.y = 7.0 * INCH).0, Wrong);
}

#[test]
fn curtains_and_carpet() {
    for (inches, grade) in [(0.0, Good), (2.0, Good), (2.1, Look)] {
        assert_eq!(grade!(changed(2, |curtain| curtain.above = inches * INCH), What::CurtainDrop { .. }), grade);
    }
    // 2 in deep: its front is at 12 in if its center is at 11. Across the room, it is 48 in.
    for (center, turn, grade) in [(11.0, 0.0, Good), (11.1, 0.0, Wrong), (24.0, 90.0, Wrong)] {
        let change = |curtain: &mut Placed| (curtain.y, curtain.turn) = (center * INCH, turn);
        assert_eq!(grade!(changed(2, change), What::CurtainToWall { .. }), grade);
    }
    // 96 × 91.2 in of 96 × 96 are 95 %.
    for (depth, grade) in [(91.3, Good), (91.1, Look)] {
        assert_eq!(grade!(changed(3, |carpet| carpet.depth = depth * INCH), What::CarpetCover { .. }), grade);
    }
}

/// Computed by shapely 2.2.0: two turned rugs that overlap and stick out.
#[test]
fn carpet_by_shapely() {
    let rug = |id, center, size, turn| Placed { turn, ..item(id, Use::Carpet, center, size, 0.0) };
    let rugs = [rug(1, (30.0, 40.0), [60.0, 84.0, 0.5], 20.0), rug(2, (70.0, 50.0), [48.0, 72.0, 0.5], -35.0)];
    let finding = items::carpet(&ROOM, &rugs).unwrap();
    let What::CarpetCover { share } = finding.what else { unreachable!() };
    assert!((share - 0.738_915_887).abs() < 1e-6, "{share}");
    assert_eq!(finding.items, [1, 2]);
}

#[test]
fn panels_by_room() {
    for (fastened, in_a, in_b) in
        [(Fastening::Screwed, Good, Wrong), (Fastening::QuickRelease, Wrong, Good), (Fastening::Unknown, Look, Look)]
    {
        let panel = item(7, Use::ClearPanel { fastened }, (48.0, 96.0), [96.0, 0.25, 48.0], 48.0);
        for (protection, grade) in [(Unprotected, in_a), (Sprinklered, in_b)] {
            assert_eq!(openings::panels(protection, &[panel])[0].grade, grade);
        }
    }
}

#[test]
fn the_catch_board() {
    let change = |change: &dyn Fn(&mut Placed)| {
        let mut room = room_a();
        room.iter_mut().filter(|item| item.id == 6).for_each(change);
        check(Unprotected, &ROOM, &room)
    };
    // 48 in deep with its center at 120 in: it begins at the front, at 96 in.
    for (inches, grade) in [(-2.0, Good), (-2.1, Look), (12.0, Good), (12.1, Look)] {
        assert_eq!(grade!(change(&|board| board.y += inches * INCH), What::CatchBoardPlace { .. }), grade);
    }
    // 5 % of 96 in are 4.8 in.
    for (inches, grade) in [(4.7, Good), (4.9, Look)] {
        assert_eq!(grade!(change(&|board| board.x += inches * INCH), What::CatchBoardPlace { .. }), grade);
    }
    assert_eq!(grade!(change(&|board| board.above = 2.0 * INCH), What::CatchBoardPlace { .. }), Look);
    for (inches, grade) in [(47.0, Good), (46.9, Look)] {
        assert_eq!(grade!(change(&|board| board.depth = inches * INCH), What::CatchBoardSize { .. }), grade);
    }
    // Lying the other way, it is as large but before half of the front.
    let found = change(&|board| board.turn = 90.0);
    assert_eq!(grade!(found, What::CatchBoardSize { .. }), Good);
    let place = only(&found, |what| matches!(what, What::CatchBoardPlace { .. }));
    let What::CatchBoardPlace { share, gap, .. } = place.what else { unreachable!() };
    assert!((share - 0.5).abs() < 1e-9);
    near(gap, -24.0);
}

#[test]
fn the_open_front() {
    let panel = item(7, Use::ClearPanel { fastened: Fastening::Unknown }, (48.0, 96.0), [96.0, 0.25, 48.0], 48.0);
    // A panel over the upper half leaves 8 × 4 ft. A chair of 32 × 36 in blocks a quarter.
    let chair = item(1, Use::Fuel, (40.0, 80.0), [32.0, 32.0, 36.0], 0.0);
    let share = |items: &[Placed]| open_share(&ROOM, items);
    let is = |value: f64, wanted: f64| assert!((value - wanted).abs() < 1e-6, "{value} instead of {wanted}");
    is(share(&[]), 1.0);
    is(share(&[panel]), 1.0);
    is(share(&[panel, chair]), 0.75);
    // Without the panel, the front is twice as large.
    is(share(&[chair]), 0.875);
    // Carpet and catch board lie flat, however they are drawn.
    is(share(&[Placed { what: Use::Carpet, ..chair }, Placed { what: Use::CatchBoard, ..chair }]), 1.0);
    // What stands behind another item, or is farther than a foot from the front, blocks nothing.
    is(share(&[panel, chair, Placed { id: 2, y: 90.0 * INCH, ..chair }]), 0.75);
    is(share(&[panel, Placed { y: 67.9 * INCH, ..chair }]), 1.0);
    // What is before the front counts, too; so does only what isn't behind the panel.
    is(share(&[panel, Placed { y: 124.0 * INCH, ..chair }]), 0.75);
    is(share(&[panel, Placed { y: 124.1 * INCH, ..chair }]), 1.0);
    is(share(&[panel, Placed { above: 36.0 * INCH, ..chair }]), 1.0 - 32.0 * 12.0 / (96.0 * 48.0));
    is(share(&[Placed { height: 8.0 * FOOT, above: 0.0, ..panel }]), 0.0);
    for (width, grade) in [(0.299, Good), (0.301, Look), (0.499, Look), (0.501, Wrong)] {
        let wall = item(1, Use::Fuel, (48.0, 90.0), [96.0 * width, 4.0, 48.0], 0.0);
        assert_eq!(openings::open_front(&ROOM, &[panel, wall]).grade, grade, "{width}");
    }
}

/// Computed by shapely 2.2.0.
#[test]
fn the_open_front_by_shapely() {
    let items = [
        item(1, Use::ClearPanel { fastened: Fastening::Unknown }, (48.0, 96.0), [96.0, 0.25, 48.0], 48.0),
        Placed { turn: 25.0, ..item(2, Use::Fuel, (30.0, 78.0), [60.0, 30.0, 34.0], 0.0) },
        item(3, Use::Fuel, (80.0, 90.0), [12.0, 12.0, 60.0], 0.0),
        Placed { turn: -10.0, ..item(4, Use::Fuel, (62.0, 84.0), [40.0, 16.0, 30.0], 10.0) },
    ];
    assert!((open_share(&ROOM, &items) - 0.308_637_778).abs() < 1e-6);
}

/// NFPA 13: 18 in below the deflector, four times the larger side up to 36 in; NFPA 13D: 1 to
/// 4 in below the ceiling. From memory.
#[test]
fn the_sprinkler() {
    // The ceiling is at 96 in.
    for (above, grade) in [(95.1, Look), (95.0, Good), (92.0, Good), (91.9, Look)] {
        assert_eq!(grade!(changed(9, |head| head.above = above * INCH), What::SprinklerDepth { .. }), grade);
    }
    let shelf = item(20, Use::Fuel, (36.0, 48.0), [30.0, 10.0, 79.0], 0.0);
    let with = |shelf: Placed| {
        let mut room = room_b();
        room.push(shelf);
        check(Sprinklered, &ROOM, &room)
    };
    // The deflector is at 93 in, above the middle of the shelf.
    let finding = only(&with(shelf), |what| matches!(what, What::SprinklerBlocked { .. }));
    assert_eq!((finding.grade, finding.items), (Wrong, vec![9, 20]));
    let What::SprinklerBlocked { below, gap, wanted } = finding.what else { unreachable!() };
    near(below, 14.0);
    near(gap, 0.0);
    near(wanted, 36.0);
    // The shelf reaches 15 in to the left.
    let small = Placed { width: 5.0 * INCH, depth: 3.0 * INCH, ..shelf };
    for (item, grade) in [
        (Placed { x: (36.0 + 15.0 + 35.9) * INCH, ..shelf }, Some(Look)),
        (Placed { x: (36.0 + 15.0 + 36.0) * INCH, ..shelf }, None),
        // Four times 5 in.
        (Placed { x: (36.0 + 2.5 + 19.9) * INCH, ..small }, Some(Look)),
        (Placed { x: (36.0 + 2.5 + 20.0) * INCH, ..small }, None),
        (Placed { height: 75.0 * INCH, ..shelf }, None),
        (Placed { height: 75.1 * INCH, ..shelf }, Some(Wrong)),
        (Placed { what: Use::ClearPanel { fastened: Fastening::QuickRelease }, ..shelf }, None),
        (Placed { what: Use::FuseHole, ..shelf }, None),
        // On the ceiling, above the deflector.
        (Placed { height: 2.0 * INCH, above: 94.0 * INCH, ..small }, None),
    ] {
        let found = with(item);
        let blocked = found.iter().find(|finding| matches!(finding.what, What::SprinklerBlocked { .. }));
        assert_eq!(blocked.map(|finding| finding.grade), grade, "{item:?}");
        assert_eq!(found.iter().any(|finding| finding.what == What::SprinklerClear), grade.is_none());
    }
}

proptest! {
    #[test]
    fn the_worst_comes_first(mut room in prop::collection::vec(placed(), 0..8)) {
        for (item, what) in room.iter_mut().zip([Use::Basket, Use::Curtain, Use::Sprinkler, Use::Carpet, Use::FuseHole]) {
            item.what = what;
        }
        for protection in [Unprotected, Sprinklered] {
            let found = check(protection, &ROOM, &room);
            prop_assert!(found.is_sorted_by_key(|finding| finding.grade));
        }
    }

    /// One more item never opens the front.
    #[test]
    fn more_items_block_more(room in prop::collection::vec(placed(), 0..6), more in placed()) {
        let before = open_share(&ROOM, &room);
        let after = open_share(&ROOM, &[room, vec![more]].concat());
        prop_assert!((0.0..=1.0).contains(&after) && after <= before + 1e-6);
    }

    #[test]
    fn no_room_is_too_small(width in -1.0..1.0, depth in -1.0..1.0, height in -1.0..1.0) {
        let frame = Frame { width, depth, height };
        let found = check(Unprotected, &frame, &room_a());
        let is_share = |share: f64| (0.0..=1.0).contains(&share);
        for finding in found {
            match finding.what {
                What::OpenFront { share } | What::CarpetCover { share } => prop_assert!(is_share(share)),
                What::CatchBoardPlace { share, gap, .. } => prop_assert!(is_share(share) && gap.is_finite()),
                _ => {}
            }
        }
    }
}
