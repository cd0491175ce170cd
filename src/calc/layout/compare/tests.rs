use super::super::testing::{ROOM, item, room_a, room_b};
use super::*;

const PAIRS: [(u64, u64); 5] = [(1, 1), (2, 2), (4, 4), (5, 5), (8, 8)];

fn compared(b: &[Placed], pairs: &[(u64, u64)]) -> Likeness {
    alike(&room_a(), b, pairs, PLACE_TOLERANCE, &ROOM)
}

fn changed(id: u64, change: impl Fn(&mut Placed)) -> Vec<Placed> {
    let mut room = room_b();
    room.iter_mut().filter(|item| item.id == id).for_each(change);
    room
}

#[test]
fn the_same_room() {
    assert_eq!(compared(&room_b(), &PAIRS), Likeness::default());
}

/// By hand, in inches: 3, 4, and 5 make a right triangle.
#[test]
fn a_moved_item() {
    let room = changed(8, |sofa| (sofa.x, sofa.y) = (sofa.x + 3.0 * INCH, sofa.y + 4.0 * INCH));
    let found = compared(&room, &PAIRS);
    assert!(!found.mirrored);
    let [moved] = found.moved[..] else { panic!("{found:?}") };
    assert_eq!((moved.a, moved.b), (8, 8));
    assert!((moved.by - 5.0 * INCH).abs() < 1e-9 && moved.turned.abs() < 1e-9);
    for (inches, count) in [(3.0, 0), (3.1, 1), (-3.1, 1)] {
        assert_eq!(compared(&changed(8, |sofa| sofa.x += inches * INCH), &PAIRS).moved.len(), count);
        assert_eq!(compared(&changed(8, |sofa| sofa.above += inches * INCH), &PAIRS).moved.len(), count);
    }
}

/// By hand: the sofa of 40 × 30 in has a diagonal of 50 in, so a corner moves by
/// 50 · sin(t/2). That is 3 in at 6.88 degrees.
#[test]
fn a_turned_item() {
    for (turn, count) in [(6.8, 0), (-6.8, 0), (6.95, 1), (353.2, 0), (353.0, 1), (360.0, 0), (180.0, 1)] {
        let found = compared(&changed(8, |sofa| sofa.turn = turn), &PAIRS).moved;
        assert_eq!(found.len(), count, "{turn}");
    }
    let found = compared(&changed(8, |sofa| sofa.turn = 270.0), &PAIRS).moved;
    assert!((found[0].turned - 90.0).abs() < 1e-9);
}

#[test]
fn a_mirrored_room() {
    let mirrored: Vec<Placed> = room_b().iter().map(|item| item.mirrored(&ROOM)).collect();
    assert_eq!(compared(&mirrored, &PAIRS), Likeness { mirrored: true, ..Likeness::default() });
    // One more difference is still seen.
    let mut room = mirrored;
    room.iter_mut().filter(|item| item.id == 8).for_each(|sofa| sofa.y += 10.0 * INCH);
    let found = compared(&room, &PAIRS);
    assert!(found.mirrored);
    assert_eq!(found.moved.iter().map(|moved| moved.a).collect::<Vec<_>>(), [8]);
    // A single item on the other side is only moved.
    let found = compared(&changed(8, |sofa| *sofa = sofa.mirrored(&ROOM)), &PAIRS);
    assert!(!found.mirrored && found.moved.len() == 1);
    // Nor is a room mirrored of which there is only one item, or of which half differs anyway.
    let (sofa, basket) = (room_a()[7], room_a()[0]);
    let plain = |a: &[Placed], b: &[Placed]| alike(a, b, &[(8, 8), (1, 1)], PLACE_TOLERANCE, &ROOM);
    let found = plain(&[sofa], &[sofa.mirrored(&ROOM)]);
    assert!(!found.mirrored && found.moved.len() == 1);
    let found = plain(&[sofa, basket], &[sofa.mirrored(&ROOM), Placed { y: 1.0, ..basket }]);
    assert!(!found.mirrored && found.moved.len() == 2);
}

#[test]
fn alarms_are_a_pair() {
    let room = changed(4, |alarm| alarm.x -= 12.0 * INCH);
    for pairs in [&PAIRS[..], &[]] {
        let found = compared(&room, pairs);
        assert_eq!(found.moved.iter().map(|moved| (moved.a, moved.b)).collect::<Vec<_>>(), [(4, 4)]);
    }
}

#[test]
fn what_is_not_drawn() {
    assert_eq!(compared(&room_b(), &[(1, 1), (77, 8), (8, 78)]).not_drawn, [(77, 8), (8, 78)]);
}

/// By hand, in inches: 30 and 40 make 50; the basket is 14 high.
#[test]
fn distances_from_the_basket() {
    assert_eq!(fire_distances(&[]), None);
    let basket = item(1, Use::Basket, (24.0, 10.0), [12.0, 12.0, 14.0], 0.0);
    let head = item(2, Use::Sprinkler, (54.0, 50.0), [2.0, 2.0, 2.0], 93.0);
    let far = item(3, Use::Sprinkler, (90.0, 90.0), [2.0, 2.0, 2.0], 93.0);
    let found = fire_distances(&[far, head, basket]).unwrap();
    let reach = found.sprinkler.unwrap();
    assert_eq!(found.alarm, None);
    for (value, inches) in [(found.surface, 14.0), (reach.distance, 50.0), (reach.height, 79.0)] {
        assert!((value - inches * INCH).abs() < 1e-9);
    }
}
