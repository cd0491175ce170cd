//! Each check of a site, on a drawing whose figures are worked out beside it: what it finds,
//! what it doesn't, and where its limit is.
//!
//! Limits from codes are named as the code names them. The others are common practice without
//! a source, and the tests hold them to what the site's page says.

use burnday::calc::site::sight::Posture;
use burnday::calc::site::{FOOT, Finding, Given, Grade, Heat, INCH, Item, Kind, Place, Shape, Site, What, check};

/// The value in the only finding of a kind.
macro_rules! only {
    ($found:expr, $what:pat => $value:expr) => {{
        let found = &$found;
        let values: Vec<_> =
            found.iter().filter_map(|finding| if let $what = finding.what { Some($value) } else { None }).collect();
        assert_eq!(values.len(), 1, "{found:?}");
        values[0]
    }};
}
pub(super) use only;

/// The grades of all findings of a kind.
macro_rules! grades {
    ($site:expr, $given:expr, $what:pat) => {
        check(&$site, &$given)
            .iter()
            .filter(|finding| matches!(finding.what, $what))
            .map(|finding| finding.grade)
            .collect::<Vec<Grade>>()
    };
}

/// The badness of the only finding of a kind.
macro_rules! badness {
    ($site:expr, $given:expr, $what:pat) => {{
        let all = check(&$site, &$given);
        let found: Vec<f64> =
            all.iter().filter(|finding| matches!(finding.what, $what)).map(|finding| finding.badness).collect();
        assert_eq!(found.len(), 1, "{all:?}");
        found[0]
    }};
}

use Grade::{Good, Look, Unknown, Wrong};

/// June 5, 2027, 18:00 UTC: about noon in the middle of the country.
const NOON: i64 = 1_812_218_400;
/// March 21, 2027, 00:00 UTC: the equinox, 17:00 Mountain Standard Time.
const EQUINOX: i64 = 1_805_587_200;
/// On the meridian of Mountain Standard Time.
const MERIDIAN: (f64, f64) = (40.0, -105.0);

fn places(at: &[(f64, f64)]) -> Vec<Place> {
    at.iter().map(|(x, y)| Place { x: *x, y: *y }).collect()
}

fn item(id: u32, kind: Kind, at: &[(f64, f64)], (width, depth): (f64, f64)) -> Item {
    let (name, at) = (kind.as_str().to_owned(), places(at));
    Item { id, kind, name, at, width, depth, turn: 0.0, height: 0.0, count: 0, level: 0.0 }
}

/// A rectangle around a place.
pub(super) fn spot(id: u32, kind: Kind, at: (f64, f64), size: (f64, f64)) -> Item {
    assert_eq!(kind.shape(), Shape::Spot);
    item(id, kind, &[at], size)
}

pub(super) fn area(id: u32, kind: Kind, at: &[(f64, f64)]) -> Item {
    assert_eq!(kind.shape(), Shape::Area);
    item(id, kind, at, (0.0, 0.0))
}

/// An upright rectangle, from its upper left corner to its lower right one.
fn block(id: u32, kind: Kind, (left, top): (f64, f64), (right, bottom): (f64, f64)) -> Item {
    area(id, kind, &[(left, top), (right, top), (right, bottom), (left, bottom)])
}

pub(super) fn line(id: u32, kind: Kind, width: f64, at: &[(f64, f64)]) -> Item {
    assert_eq!(kind.shape(), Shape::Line);
    item(id, kind, at, (width, 0.0))
}

/// Nothing but these, north up.
pub(super) fn bare(items: Vec<Item>) -> Site {
    Site {
        items,
        north: 0.0,
        wind_from: Some(180.0),
        crowd_line: 24.0,
        density: 1.0,
        aisles: 0.2,
        posture: Posture::Standing,
        row: 1.0,
        rise: 0.1,
        watched: 1.0,
        murmur: 60.0,
        exit_inches: 0.2,
        people_per_toilet: 100,
        people_per_car: 2.5,
        receivers: 8,
        minutes: 90,
    }
}

/// A plain good site. Both fronts are at y = 11.2 and face down; the crowd is 25 m before them,
/// with its back to the south, where the wind comes from.
pub(super) fn site() -> Site {
    let raised = |room: Item| Item { height: 1.2, ..room };
    let counted = |count: u32, item: Item| Item { count, ..item };
    let loud = |level: f64, item: Item| Item { level, ..item };
    bare(vec![
        raised(spot(1, Kind::RoomA, (20.0, 10.0), (2.4, 2.4))),
        raised(spot(2, Kind::RoomB, (30.0, 10.0), (2.4, 2.4))),
        block(3, Kind::Crowd, (10.0, 36.2), (40.0, 46.2)),
        block(4, Kind::Press, (45.0, 32.0), (51.0, 36.0)),
        spot(5, Kind::Gate, (12.0, 50.0), (3.0, 1.0)),
        spot(6, Kind::Gate, (38.0, 50.0), (3.0, 1.0)),
        counted(5, spot(7, Kind::Wheelchair, (25.0, 37.0), (6.0, 1.5))),
        spot(8, Kind::Interpreter, (25.0, 36.0), (0.5, 0.5)),
        loud(100.0, spot(9, Kind::Speaker, (14.0, 30.0), (0.6, 0.6))),
        loud(100.0, spot(10, Kind::Speaker, (36.0, 30.0), (0.6, 0.6))),
        loud(85.0, spot(11, Kind::Pump, (60.0, 5.0), (1.0, 1.0))),
        spot(12, Kind::Engine, (55.0, 8.0), (3.0, 9.0)),
        spot(13, Kind::Hydrant, (60.0, 12.0), (0.5, 0.5)),
        spot(14, Kind::Command, (2.0, 12.0), (3.0, 3.0)),
        spot(15, Kind::Ambulance, (59.0, 20.0), (2.4, 6.7)),
        line(16, Kind::FireLane, 20.0 * FOOT, &[(65.0, 0.0), (65.0, 60.0)]),
        spot(17, Kind::LostChild, (25.0, 49.0), (3.0, 3.0)),
        counted(3, spot(18, Kind::Toilets, (30.0, 52.0), (4.0, 2.0))),
        block(19, Kind::Parking, (70.0, 15.0), (130.0, 60.0)),
        line(20, Kind::Hose, 0.0, &[(55.0, 8.0), (35.0, 14.0), (31.0, 13.0)]),
        line(21, Kind::Escort, 0.0, &[(45.0, 33.0), (35.0, 28.0)]),
    ])
}

pub(super) fn given() -> Given {
    let heat = Heat { public: 15.0, public_with_wind: 22.0, press: 8.0, things: 10.0, flame: 3000.0, radiated: 0.35 };
    let place = Some((42.0, -93.0));
    Given { people: 200, lit_at: NOON, place, heat: Some(heat), hose: Some(45.0), both_at_once: false }
}

fn with_heat(change: impl FnOnce(&mut Heat)) -> Given {
    let mut given = given();
    change(given.heat.as_mut().unwrap());
    given
}

/// The good site, changed.
fn changed(change: impl FnOnce(&mut Site)) -> Site {
    let mut site = site();
    change(&mut site);
    site
}

fn with(item: Item) -> Site {
    changed(|site| site.items.push(item))
}

fn without(kind: Kind) -> Site {
    changed(|site| site.items.retain(|item| item.kind != kind))
}

/// The good site with one item changed.
fn with_item(id: u32, change: impl FnOnce(&mut Item)) -> Site {
    changed(|site| change(site.items.iter_mut().find(|item| item.id == id).unwrap()))
}

fn moved(items: &mut [Item], kind: Kind, x: f64, y: f64) {
    for item in items.iter_mut().filter(|item| item.kind == kind) {
        for place in &mut item.at {
            *place = Place { x: place.x + x, y: place.y + y };
        }
    }
}

#[track_caller]
fn near(value: f64, wanted: f64, off: f64) {
    assert!((value - wanted).abs() <= off, "{value}, not {wanted}");
}

#[test]
fn a_plain_good_site_has_nothing_to_settle() {
    let found = check(&site(), &given());
    let bad: Vec<&Finding> = found.iter().filter(|finding| finding.grade != Good).collect();
    assert!(bad.is_empty(), "{bad:#?}");
    assert!(found.len() > 15 && found.iter().all(|finding| !finding.badness.is_nan()), "{found:?}");
}

#[test]
fn the_worst_come_first() {
    let site = changed(|site| {
        site.crowd_line = 12.0;
        site.wind_from = None;
        site.items.retain(|item| item.kind != Kind::Speaker);
    });
    let grades: Vec<Grade> = check(&site, &given()).iter().map(|finding| finding.grade).collect();
    assert!(grades.is_sorted() && grades.first() == Some(&Wrong), "{grades:?}");
    assert!(grades.contains(&Look) && grades.contains(&Unknown) && grades.last() == Some(&Good), "{grades:?}");
}

#[test]
fn what_isnt_drawn_is_missing() {
    assert!(grades!(site(), given(), What::Missing(_)).is_empty());
    let of = |site: &Site| match check(site, &given()).remove(0).what {
        What::Missing(kinds) => kinds,
        other => panic!("{other:?}"),
    };
    let found = check(&bare(Vec::new()), &given());
    assert_eq!(found.len(), 1);
    near(found[0].badness, 12.0, 0.0);
    assert_eq!(of(&changed(|site| site.items.retain(|item| !item.kind.is_room()))), [Kind::RoomA, Kind::RoomB]);
    // A tank is water, too.
    let dry = without(Kind::Hydrant);
    let kinds = check(&dry, &given()).into_iter().find_map(|finding| match finding.what {
        What::Missing(kinds) => Some(kinds),
        _ => None,
    });
    assert_eq!(kinds, Some(vec![Kind::Hydrant]));
    let tank =
        changed(|site| site.items.iter_mut().filter(|it| it.kind == Kind::Hydrant).for_each(|it| it.kind = Kind::Tank));
    assert!(grades!(tank, given(), What::Missing(_)).is_empty());
}

/// A room alone is checked as far as it can be.
#[test]
fn one_room_is_enough_for_the_other_checks() {
    for kind in [Kind::RoomA, Kind::RoomB] {
        let alone = without(kind);
        assert!(grades!(alone, given(), What::OnRoomB { .. }).is_empty());
        assert_eq!(grades!(alone, given(), What::Inside { .. }), [Good]);
        assert_eq!(grades!(alone, given(), What::AllSee { .. }), [Good]);
        assert_eq!(grades!(alone, given(), What::Missing(_)), [Look]);
    }
}

/// The fire asks for 15 m, and with wind for 22 m.
#[test]
fn the_line_is_where_the_fire_asks_for_it() {
    let at = |meters: f64| changed(|site| site.crowd_line = meters);
    for (meters, grade, asked, is_wind) in
        [(22.0, Good, 15.0, false), (21.99, Look, 22.0, true), (15.0, Look, 22.0, true), (14.99, Wrong, 15.0, false)]
    {
        assert_eq!(grades!(at(meters), given(), What::Line { .. }), [grade], "{meters}");
        let found = check(&at(meters), &given());
        let (of, wind) = only!(found, What::Line { asked, is_wind, .. } => (asked, is_wind));
        near(of, asked, 0.0);
        assert_eq!(wind, is_wind, "{meters}");
    }
    // Who accepted the line for a windy day didn't accept one that is too near on any day.
    let badness = |meters: f64| badness!(at(meters), given(), What::Line { .. });
    assert!(badness(14.9) > badness(15.1) && badness(10.0) > badness(14.9));
    let hotter = with_heat(|heat| heat.public = 21.0);
    assert!(badness!(at(20.0), hotter, What::Line { .. }) > badness(20.0));
}

#[test]
fn without_an_estimate_nobody_knows_the_line() {
    let given = Given { heat: None, ..given() };
    assert_eq!(grades!(site(), given, What::NoHeat), [Unknown]);
    assert!(grades!(site(), given, What::Line { .. } | What::OnRoomB { .. } | What::Escort { .. }).is_empty());
    assert!(grades!(site(), self::given(), What::NoHeat).is_empty());
}

/// The crowd is 25 m from the fronts, the press √(13.8² + 20.8²) = 24.962 m.
#[test]
fn who_is_inside_the_line_is_found() {
    let at = |meters: f64| check(&changed(|site| site.crowd_line = meters), &given());
    // The interpreter is √(3.55² + 24.55²) = 24.805 m from the end of room A's front.
    assert_eq!(only!(at(24.80), What::Inside { nearest, .. } => nearest), None);
    let found = at(24.96);
    near(only!(found, What::Inside { nearest, .. } => nearest).unwrap(), 24.805_342, 1e-6);
    let inside = |line: f64| {
        let found = at(line).into_iter().find(|finding| matches!(finding.what, What::Inside { .. })).unwrap();
        (found.grade, found.items)
    };
    assert_eq!(inside(24.96), (Wrong, vec![8]));
    assert_eq!(inside(24.97), (Wrong, vec![4, 8]));
    assert_eq!(inside(25.01), (Wrong, vec![3, 4, 8]));
    // Wheelchair spaces are a little farther, and an area right at the line is not inside.
    assert_eq!(inside(25.0), (Wrong, vec![4, 8]));
    // One that is deeper inside is worse, whoever is nearest.
    let quiet = |y: f64| {
        let mut site = with(spot(99, Kind::Quiet, (20.0, y), (1.0, 1.0)));
        site.items.push(spot(98, Kind::Gate, (30.0, 12.0), (1.0, 0.2)));
        badness!(site, given(), What::Inside { .. })
    };
    near(quiet(20.0) - quiet(22.0), 2.0, 1e-9);
    for kind in [Kind::Quiet, Kind::LostChild, Kind::Toilets, Kind::Gate] {
        let near = spot(99, kind, (20.0, 20.0), (1.0, 1.0));
        assert_eq!(grades!(with(near), given(), What::Inside { .. }), [Wrong], "{kind}");
    }
    let parking = block(99, Kind::Parking, (10.0, 20.0), (30.0, 30.0));
    assert_eq!(grades!(with(parking), given(), What::Inside { .. }), [Wrong]);
    // Crews may be there.
    let engine = spot(99, Kind::Engine, (20.0, 20.0), (3.0, 9.0));
    assert_eq!(grades!(with(engine), given(), What::Inside { .. }), [Good]);
}

/// A third room is a room: 10 m before it the public is inside the line.
#[test]
fn a_second_room_of_a_kind_counts() {
    let third = spot(99, Kind::RoomB, (25.0, 24.0), (2.4, 2.4));
    assert_eq!(grades!(with(third), given(), What::Inside { .. }), [Wrong]);
}

/// 30 × 10 m less a fifth for aisles hold 240 people; 90 percent of them are 216.
#[test]
fn no_more_people_than_fit() {
    for (people, grade) in [(0, Good), (216, Good), (217, Look), (240, Look), (241, Wrong)] {
        let given = Given { people, ..given() };
        assert_eq!(grades!(site(), given, What::Capacity { .. }), [grade], "{people}");
    }
    let found = check(&site(), &given());
    assert_eq!(only!(found, What::Capacity { fit, people, .. } => (fit, people)), (240, 200));
    assert!(grades!(without(Kind::Crowd), given(), What::Capacity { .. }).is_empty());
    // A second area over half of the first adds 5 m of its own: 35 × 10 m hold 280.
    let both = check(&with(block(99, Kind::Crowd, (25.0, 36.2), (45.0, 46.2))), &given());
    assert_eq!(only!(both, What::Capacity { fit, .. } => fit), 280);
    let apart = check(&with(block(99, Kind::Crowd, (10.0, 60.0), (40.0, 70.0))), &given());
    assert_eq!(only!(apart, What::Capacity { fit, .. } => fit), 480);
}

/// At 0.2 in. each, 200 people need 40 in.; two gates of 20 in. are just enough.
#[test]
fn ways_out_are_two_and_wide_enough() {
    let wide = |inches: f64| {
        changed(|site| {
            site.items.iter_mut().filter(|it| it.kind == Kind::Gate).for_each(|it| it.width = inches * INCH);
        })
    };
    assert_eq!(grades!(wide(20.0), given(), What::WaysOut { .. }), [Good]);
    assert_eq!(grades!(wide(19.9), given(), What::WaysOut { .. }), [Wrong]);
    let found = check(&wide(20.0), &given());
    near(only!(found, What::WaysOut { needed, .. } => needed), 40.0 * 0.0254, 1e-9);
    let one = changed(|site| site.items.retain(|item| item.id != 6));
    assert_eq!(grades!(one, given(), What::WaysOut { count: 1, .. }), [Wrong]);
    assert!(grades!(one, given(), What::WaysApart { .. }).is_empty());
    assert_eq!(grades!(without(Kind::Gate), given(), What::WaysOut { count: 0, .. }), [Wrong]);
    let badness = |site: &Site| badness!(site, given(), What::WaysOut { .. });
    assert!(badness(&without(Kind::Gate)) > badness(&one) && badness(&one) > badness(&wide(19.9)));
}

/// NFPA 101, 7.4.1.2: three ways out for more than 500 people, four for more than 1,000.
#[test]
fn many_people_need_more_ways_out() {
    for (people, gates, grade) in
        [(500, 2, Good), (501, 2, Look), (501, 3, Good), (1000, 3, Good), (1001, 3, Look), (1001, 4, Good)]
    {
        let more = changed(|site| {
            let third = site.items.iter().find(|item| item.id == 6).unwrap().clone();
            site.items.extend((2..gates).map(|_| Item { width: 5.0, ..third.clone() }));
        });
        let given = Given { people, ..given() };
        assert_eq!(grades!(more, given, What::WaysOut { .. }), [grade], "{people} and {gates}");
    }
}

/// Half of the diagonal of 30 × 10 m is 15.811 m. The gates are 26 m apart.
#[test]
fn ways_out_are_far_apart() {
    let found = check(&site(), &given());
    let (apart, half) = only!(found, What::WaysApart { apart, half } => (apart, half));
    near(apart, 26.0, 1e-9);
    near(half, 15.811_388, 1e-6);
    let at = |x: f64| with_item(6, |gate| gate.at = places(&[(x, 50.0)]));
    assert_eq!(grades!(at(12.0 + 15.82), given(), What::WaysApart { .. }), [Good]);
    assert_eq!(grades!(at(12.0 + 15.80), given(), What::WaysApart { .. }), [Look]);
    assert_eq!(grades!(at(12.0), given(), What::WaysApart { .. }), [Look]);
}

/// 2010 ADA Standards, Table 221.2.1.1: 4 spaces up to 150 people, 5 up to 300, 6 up to 500.
#[test]
fn wheelchair_spaces_are_the_tables() {
    for (people, asked, grade) in [(150, 4, Good), (151, 5, Good), (300, 5, Good), (301, 6, Wrong)] {
        let given = Given { people, ..given() };
        let found = check(&site(), &given);
        assert_eq!(only!(found, What::Wheelchair { have, asked } => (have, asked)), (5, asked), "{people}");
        assert_eq!(grades!(site(), given, What::Wheelchair { .. }), [grade], "{people}");
    }
    assert_eq!(grades!(without(Kind::Wheelchair), given(), What::Wheelchair { have: 0, .. }), [Wrong]);
}

/// Whoever stands is 1.75 m tall, and eyes in a wheelchair are 1.15 m up: 0.6 m of platform.
/// A row is 1 m deep.
#[test]
fn a_wheelchair_behind_a_row_needs_a_platform() {
    let view = |site: &Site| grades!(site, given(), What::WheelchairView { .. });
    // The crowd's front is at 36.2, and the spaces are 1.5 m deep.
    let at = |x: f64, front: f64| with_item(7, |spaces| spaces.at = places(&[(x, front + 0.75)]));
    assert!(view(&at(25.0, 36.2)).is_empty());
    assert!(view(&at(25.0, 37.0)).is_empty());
    assert_eq!(view(&at(25.0, 37.3)), [Wrong]);
    assert_eq!(view(&at(25.0, 48.0)), [Wrong]);
    // At the end of the front row nobody is in front, however far it is from the rooms.
    assert!(view(&at(13.0, 36.2)).is_empty());
    let raised = |height: f64| {
        let mut site = at(25.0, 42.0);
        site.items.iter_mut().filter(|it| it.kind == Kind::Wheelchair).for_each(|it| it.height = height);
        site
    };
    assert_eq!(view(&raised(0.59)), [Wrong]);
    assert!(view(&raised(0.61)).is_empty());
    let found = check(&raised(0.2), &given());
    near(only!(found, What::WheelchairView { height } => height), 0.6, 1e-9);
    near(badness!(raised(0.2), given(), What::WheelchairView { .. }), 0.4, 1e-9);
}

/// 2010 ADA Standards, Table 219.3: 2, and one for every 25 people over 50 or part of them.
/// That is 8 for 200 people and 9 for 201. At least 2 work with hearing aids.
#[test]
fn receivers_are_the_tables() {
    for (people, asked, grade) in [(200, 8, Good), (201, 9, Look)] {
        let given = Given { people, ..given() };
        let found = check(&site(), &given);
        assert_eq!(only!(found, What::Receivers { asked, .. } => asked), asked);
        assert_eq!(grades!(site(), given, What::Receivers { .. }), [grade]);
    }
    let found = check(&site(), &given());
    assert_eq!(only!(found, What::Receivers { compatible, .. } => compatible), 2);
}

/// One for every 100 people. 2010 ADA Standards, 213.2: at least one of them accessible.
#[test]
fn restrooms_are_enough() {
    for (people, grade) in [(300, Good), (301, Look)] {
        assert_eq!(grades!(site(), Given { people, ..given() }, What::Restrooms { .. }), [grade], "{people}");
    }
    let none = without(Kind::Toilets);
    assert_eq!(grades!(none, given(), What::Restrooms { have: 0, asked: 2, accessible: 1 }), [Look]);
    assert!(grades!(none, Given { people: 0, ..given() }, What::Restrooms { .. }).is_empty());
}

/// 60 × 45 m are 0.667 acres; with 150 cars an acre, 92 percent full (the Federal Highway
/// Administration's material on planned special events), 92 cars. At 2.5 people each, 230 come
/// in them. 2010 ADA Standards, Table 208.2: 4 accessible stalls for 76 to 100.
#[test]
fn cars_have_room() {
    for (people, grade) in [(230, Good), (231, Look)] {
        assert_eq!(grades!(site(), Given { people, ..given() }, What::Parking { .. }), [grade], "{people}");
    }
    let found = check(&site(), &given());
    assert_eq!(only!(found, What::Parking { fit, cars, accessible } => (fit, cars, accessible)), (92, 80, 4));
    assert!(grades!(without(Kind::Parking), given(), What::Parking { .. }).is_empty());
}

/// On level ground the C-value is (point − eye) · row / (distance + row), the formula of the
/// University of Cambridge's magazine with no step. The crowd's nearest place is 25 m from the
/// front of a room, its farthest one √(20² + 35²) = 40.31 m: rows at 25 to 40 m, of 1 m.
fn level_ground(point: f64) -> Site {
    changed(|site| {
        site.rise = 0.0;
        site.watched = 1.0;
        site.items.iter_mut().filter(|it| it.kind.is_room()).for_each(|it| it.height = point - 1.0);
    })
}

#[test]
fn every_row_sees() {
    // The last row looks over heads at 39 m: 0.06 m ask for a point 2.4 m above the eyes.
    let found = check(&level_ground(1.55 + 2.41), &given());
    let (over, rows) = only!(found, What::AllSee { over, rows } => (over, rows));
    near(over, 2.41 / 40.0, 1e-9);
    assert_eq!(rows, 16);
    assert!(grades!(level_ground(1.55 + 2.41), given(), What::Sight { .. }).is_empty());
    // A single row has nobody in front.
    let row = with_item(3, |crowd| crowd.at = places(&[(29.5, 36.2), (30.5, 36.2), (30.5, 36.3), (29.5, 36.3)]));
    let found = check(&row, &given());
    assert_eq!(only!(found, What::AllSee { over, rows } => (over.is_finite(), rows)), (false, 1));
}

#[test]
fn the_first_row_that_sees_too_little_is_found() {
    // 0.06 m ask for a point (D + 1) · 0.06 above the eyes: 2.0 m do up to D = 32.3, which is
    // in front of row 9 at 33 m.
    let site = level_ground(1.55 + 2.0);
    let found = check(&site, &given());
    let (row, distance, over) = only!(found, What::Sight { row, distance, over, .. } => (row, distance, over));
    assert_eq!(row, 10);
    near(distance, 34.0, 1e-9);
    near(over, 2.0 / 34.0, 1e-9);
    let (floor, rows) = only!(found, What::Sight { floor, rows, .. } => (floor, rows));
    // For the last one: 40 · 0.06 + 1.55 − 1.0.
    near(floor, 2.95, 1e-9);
    assert_eq!(rows, 16);
    near(badness!(site, given(), What::Sight { .. }), 0.4, 1e-9);
    assert!(grades!(site, given(), What::AllSee { .. }).is_empty());
    // At that floor, all see.
    assert_eq!(grades!(level_ground(3.95), given(), What::AllSee { .. }), [Good]);
    // People on chairs have their eyes at 1.15 m.
    let seated = Site { posture: Posture::Seated, ..site };
    assert_eq!(grades!(seated, given(), What::AllSee { .. }), [Good]);
}

/// From row 2 on, neither room is seen. What is shown is how little is seen of the lower one.
#[test]
fn of_two_hidden_rooms_the_worse_one_is_shown() {
    for (kind, raise) in [(Kind::RoomA, 0.2), (Kind::RoomB, 0.2)] {
        let mut site = level_ground(1.55 + 0.5);
        site.items.iter_mut().filter(|it| it.kind == kind).for_each(|it| it.height += raise);
        let found = check(&site, &given());
        assert_eq!(only!(found, What::Sight { row, .. } => row), 2);
        // (point − eye) · row / (distance + row), 25 m away.
        near(only!(found, What::Sight { over, .. } => over), 0.5 / 26.0, 1e-9);
    }
}

/// Of two rooms the lower one is named.
#[test]
fn only_the_room_that_is_hidden_is_named() {
    let mut site = level_ground(4.1);
    site.items.iter_mut().filter(|it| it.kind == Kind::RoomB).for_each(|it| it.height = 1.0);
    let found = check(&site, &given());
    let finding = found.iter().find(|finding| matches!(finding.what, What::Sight { .. })).unwrap();
    assert_eq!(finding.items, [2]);
    assert!(matches!(&finding.what, What::Sight { rooms, .. } if rooms[..] == [Kind::RoomB]), "{finding:?}");
}

/// Behind a front, nobody sees into the room, however high it is.
#[test]
fn an_area_behind_the_rooms_sees_nothing() {
    let behind = |top: f64| with(block(99, Kind::Crowd, (15.0, top), (35.0, top + 1.0)));
    // The fronts are at y = 11.2.
    for (top, hidden) in [(-30.0, true), (11.1, true), (60.0, false)] {
        let found = grades!(behind(top), given(), What::Sight { row: 1, .. });
        assert_eq!(found, if hidden { vec![Wrong] } else { vec![] }, "{top}");
    }
    let found = check(&behind(-30.0), &given());
    near(only!(found, What::Sight { over, .. } => over), -41.2, 1e-9);
    let badness = |top: f64| badness!(behind(top), given(), What::Sight { .. });
    assert!(badness(-40.0) > badness(-30.0));
}

/// More rows than fit in a small crowd: 800 m at 1 ft each are 2,624.
#[test]
fn rows_are_counted_to_the_end_of_the_drawing() {
    let long = with_item(3, |crowd| crowd.at = places(&[(19.0, 11.2), (21.0, 11.2), (20.0, 811.2)]));
    let found = check(&Site { row: FOOT, rise: 0.0, ..long }, &given());
    assert!(only!(found, What::Sight { rows, .. } => rows) >= 2_624);
}

/// One speaker at (25, 26.2), 10 m before the crowd's front edge from (15, 36.2) to (35, 36.2),
/// and 20 m before its back edge. No pump.
fn one_speaker(level: f64) -> Site {
    changed(|site| {
        site.items.retain(|item| !matches!(item.kind, Kind::Speaker | Kind::Pump));
        site.items.push(Item { level, ..spot(99, Kind::Speaker, (25.0, 26.2), (0.6, 0.6)) });
        moved(&mut site.items, Kind::Crowd, 0.0, 0.0);
        let crowd = site.items.iter_mut().find(|item| item.id == 3).unwrap();
        crowd.at = places(&[(15.0, 36.2), (35.0, 36.2), (35.0, 46.2), (15.0, 46.2)]);
    })
}

/// 20 · log₁₀ of the distance in meters is lost: 20 dB at 10 m, and at √(10² + 20²) = 22.36 m
/// to the back corners 26.99 dB. The crowd itself has 60 dBA.
#[test]
fn speech_is_over_the_noise() {
    let found = check(&one_speaker(100.0), &given());
    let (first, last, loudest) = only!(found, What::Speech { first, last, loudest } => (first, last, loudest));
    near(loudest, 80.0, 1e-6);
    near(last, 100.0 - 26.9897 - 60.0, 1e-3);
    assert!(first > last, "{first} {last}");
    // 10 dB over the noise at the back corners ask for 96.99 dB at 1 m, and 0 dB for 86.99 dB;
    // 85 dBA in front is reached at 105 dB.
    for (level, grade) in
        [(97.0, Good), (96.98, Look), (87.0, Look), (86.98, Wrong), (104.99, Good), (105.01, Look), (0.0, Wrong)]
    {
        assert_eq!(grades!(one_speaker(level), given(), What::Speech { .. }), [grade], "{level}");
    }
    let badness = |level: f64| badness!(one_speaker(level), given(), What::Speech { .. });
    assert!(badness(110.0) > badness(106.0) && badness(80.0) > badness(90.0));
}

/// At the crowd's right edge a pump is as loud as a crowd there, in the middle of which nobody
/// hears: neither the first nor the last row.
#[test]
fn a_pump_at_the_crowds_side_is_heard_there() {
    let mut site = one_speaker(100.0);
    assert_eq!(grades!(site, given(), What::Speech { .. }), [Good]);
    site.items.push(Item { level: 85.0, ..spot(98, Kind::Pump, (36.0, 40.0), (1.0, 1.0)) });
    // Speech at (35, 40) is 100 − 20 log 17.03 = 75.4, and the pump's noise 85.
    assert_eq!(grades!(site, given(), What::Speech { .. }), [Wrong]);
}

/// Among the crowd, somebody stands right beside a speaker.
#[test]
fn a_speaker_amid_the_crowd_is_loud() {
    let amid = with_item(9, |speaker| speaker.at = places(&[(25.0, 41.2)]));
    assert_eq!(grades!(amid, given(), What::Speech { .. }), [Look]);
    let found = check(&amid, &given());
    assert!(only!(found, What::Speech { loudest, .. } => loudest) >= 100.0);
}

#[test]
fn without_a_speaker_nobody_hears() {
    assert_eq!(grades!(without(Kind::Speaker), given(), What::NoSpeaker), [Look]);
    assert!(grades!(site(), given(), What::NoSpeaker).is_empty());
}

/// A speaker at (14, 30) with 100 dB; the crowd's nearest place is at (14, 36.2). A pump 9.9 m
/// to the left of the speaker is √(9.9² + 6.2²) = 11.68 m from there.
#[test]
fn a_speaker_near_a_pump_is_found() {
    let pump = |apart: f64, level: f64| with(Item { level, ..spot(99, Kind::Pump, (14.0 - apart, 30.0), (1.0, 1.0)) });
    assert_eq!(grades!(pump(9.99, 85.0), given(), What::SpeakerByPump { .. }), [Look]);
    assert!(grades!(pump(10.01, 85.0), given(), What::SpeakerByPump { .. }).is_empty());
    let found = check(&pump(9.9, 85.0), &given());
    let (apart, over) = only!(found, What::SpeakerByPump { apart, over } => (apart, over));
    near(apart, 9.9, 1e-9);
    // 100 − 20 log 6.2 less 85 − 20 log 11.68.
    near(over, 20.5, 0.01);
    assert_eq!(grades!(pump(1.0, 120.0), given(), What::SpeakerByPump { .. }), [Wrong]);
    let badness = |apart: f64, level: f64| badness!(pump(apart, level), given(), What::SpeakerByPump { .. });
    assert!(badness(1.0, 120.0) > badness(1.0, 85.0) && badness(1.0, 85.0) > badness(5.0, 85.0));
}

/// The crowd's middle is (25, 41.2), and the rooms are straight up. An interpreter 10 m up and
/// 10 · tan 30° = 5.77 m aside is at the limit of 30°.
#[test]
fn the_interpreter_is_in_line_with_the_rooms() {
    let at = |x: f64| with_item(8, |interpreter| interpreter.at = places(&[(x, 31.2)]));
    assert_eq!(grades!(at(25.0 + 5.77), given(), What::Interpreter { .. }), [Good]);
    assert_eq!(grades!(at(25.0 + 5.78), given(), What::Interpreter { .. }), [Look]);
    assert_eq!(grades!(at(25.0 - 5.78), given(), What::Interpreter { .. }), [Look]);
    let found = check(&at(35.0), &given());
    near(only!(found, What::Interpreter { aside } => aside), 45.0, 1e-9);
    assert!(grades!(without(Kind::Interpreter), given(), What::Interpreter { .. }).is_empty());
    // One in line is enough for an area.
    let mut two = at(60.0);
    two.items.push(spot(99, Kind::Interpreter, (25.0, 31.2), (0.5, 0.5)));
    assert_eq!(grades!(two, given(), What::Interpreter { .. }), [Good]);
    // Each area needs one: from a second one at (70, 41.2), it is far from the rooms.
    let mut apart = two;
    apart.items.push(block(98, Kind::Crowd, (60.0, 36.2), (80.0, 46.2)));
    apart.items.retain(|item| item.id != 8);
    assert_eq!(grades!(apart, given(), What::Interpreter { .. }), [Good]);
    apart.items.iter_mut().filter(|it| it.id == 99).for_each(|it| it.at = places(&[(25.0, 40.0)]));
    assert_eq!(grades!(apart, given(), What::Interpreter { .. }), [Look]);
}

/// On March 20 at 40° north the sun is over the equator. At 17:37:30 Mountain Standard Time on
/// its meridian it is 5.5 h after noon, by the 7.5 min that the equation of time takes: sin h =
/// cos 40° · cos 82.5°, so 5.7° up, and cos A = −tan 40° · tan h, so at 265.2°.
fn in_the_evening(north: f64, lit_at: i64) -> (Site, Given) {
    let site = changed(|site| site.north = north);
    (site, Given { lit_at, place: Some(MERIDIAN), ..given() })
}

#[test]
fn who_looks_into_the_sun_is_found() {
    const LIT: i64 = EQUINOX + 2_250;
    // The crowd looks up the drawing.
    let (site, given) = in_the_evening(265.2, LIT);
    let found = check(&site, &given);
    let (azimuth, height, aside) = only!(found, What::Glare { who: Kind::Crowd, at_end: false, azimuth, height, aside } => (azimuth, height, aside));
    near(azimuth, 265.2, 0.5);
    // The air lifts it by a sixth of a degree.
    near(height, 5.9, 0.4);
    near(aside, height, 0.2);
    assert!(grades!(site, given, What::NoGlare { .. }).is_empty());
    // From 30° on it doesn't bother them. The press looks 45° to the left of the crowd.
    let who = |north: f64| {
        let (site, given) = in_the_evening(north, LIT);
        let found = check(&site, &given).into_iter().filter_map(|finding| match finding.what {
            What::Glare { who, .. } => Some((who, finding.grade)),
            _ => None,
        });
        found.collect::<Vec<_>>()
    };
    assert_eq!(who(265.2 + 29.0), [(Kind::Crowd, Look), (Kind::Press, Look)]);
    assert_eq!(who(265.2 + 31.0), [(Kind::Press, Look)]);
    assert_eq!(who(265.2 - 31.0), []);
    // Each area of the crowd looks another way: this one to the left, too.
    let (mut site, given) = in_the_evening(265.2 + 80.0, LIT);
    assert!(grades!(site, given, What::Glare { .. }).is_empty());
    site.items.push(block(99, Kind::Crowd, (60.0, 10.0), (70.0, 12.0)));
    assert_eq!(grades!(site, given, What::Glare { who: Kind::Crowd, .. }), [Look]);
}

#[test]
fn the_sun_at_the_end_is_looked_at_too() {
    // Three hours earlier, cos 40° · cos 37.5° has it at 37.4°, too high to bother.
    let (site, given) = in_the_evening(265.2, EQUINOX + 2_250 - 10_800);
    let site = Site { minutes: 180, ..site };
    assert_eq!(grades!(site, given, What::Glare { who: Kind::Crowd, at_end: true, .. }), [Look]);
    assert!(grades!(site, given, What::Glare { at_end: false, .. }).is_empty());
}

/// At noon in June the sun is at its highest: 90° − 42° + 22.6° at 42° north.
#[test]
fn at_noon_nobody_looks_into_the_sun() {
    let found = check(&site(), &Given { lit_at: NOON + 900, ..given() });
    near(only!(found, What::NoGlare { height, .. } => height), 70.6, 0.3);
    let nobody = changed(|site| site.items.retain(|item| !matches!(item.kind, Kind::Crowd | Kind::Press)));
    assert!(grades!(nobody, given(), What::NoGlare { .. } | What::Glare { .. }).is_empty());
}

/// There, the sun's upper edge sets 4.4 min after the middle would without air, at 90° from
/// noon: at 18:12 Mountain Standard Time, 01:12 UTC.
#[test]
fn daylight_lasts_beyond_the_end() {
    const SUNSET: i64 = EQUINOX + 72 * 60;
    let at_end = |after_sunset: i64, minutes: u32| {
        let lit_at = SUNSET + after_sunset * 60 - i64::from(minutes) * 60;
        let (site, given) = in_the_evening(0.0, lit_at);
        let site = Site { minutes, ..site };
        let found = check(&site, &given);
        (only!(found, What::Daylight { minutes } => minutes), grades!(site, given, What::Daylight { .. }))
    };
    for (after_sunset, grade) in [(-300, Good), (-33, Good), (-27, Look), (-3, Look), (3, Wrong), (60, Wrong)] {
        let (minutes, grades) = at_end(after_sunset, 90);
        assert!((minutes + after_sunset).abs() <= 2, "{minutes} for {after_sunset}");
        assert_eq!(grades, [grade], "{after_sunset}");
    }
    // Lit after dark, or before dawn, the next sunset is of another day.
    for (after_sunset, minutes) in [(92, 90), (180, 60), (600, 60)] {
        let (left, grades) = at_end(after_sunset, minutes);
        assert!((left + after_sunset).abs() <= 2, "{left} for {after_sunset}");
        assert_eq!(grades, [Wrong], "{after_sunset}");
    }
    // Lit at 5:30, an hour before the sun is up, and over at 8:30.
    assert_eq!(at_end(-582, 180).1, [Good]);
    // At night in December, in the far north the sun doesn't rise; in June it doesn't set.
    let far = |lit_at: i64| Given { place: Some((78.2, 15.6)), lit_at, ..given() };
    assert_eq!(grades!(site(), far(1_797_811_200), What::Daylight { .. }), [Wrong]);
    assert!(grades!(site(), far(1_782_000_000), What::Daylight { .. }).is_empty());
}

#[test]
fn without_a_place_the_sun_isnt_checked() {
    let given = Given { place: None, ..given() };
    assert_eq!(grades!(site(), given, What::NoPlace), [Unknown]);
    assert!(grades!(site(), given, What::Daylight { .. } | What::NoGlare { .. } | What::Glare { .. }).is_empty());
    assert!(grades!(site(), self::given(), What::NoPlace).is_empty());
}

#[test]
fn without_wind_the_smoke_isnt_checked() {
    let still = changed(|site| site.wind_from = None);
    assert_eq!(grades!(still, given(), What::NoWind), [Unknown]);
    assert!(grades!(still, given(), What::Smoke { .. } | What::NobodyInSmoke { .. }).is_empty());
    assert!(grades!(site(), given(), What::NoWind).is_empty());
}

/// One room at (20, 10), and something without a size 100 m away, at so many degrees clockwise
/// from straight up.
fn downwind(kind: Kind, bearing: f64, wind_from: f64) -> Site {
    let (sin, cos) = bearing.to_radians().sin_cos();
    let room = spot(1, Kind::RoomA, (20.0, 10.0), (2.4, 2.4));
    let (x, y) = (20.0 + 100.0 * sin, 10.0 - 100.0 * cos);
    let there = match kind.shape() {
        Shape::Area => area(2, kind, &[(x, y), (x, y), (x, y)]),
        Shape::Line => line(2, kind, 0.0, &[(x, y), (x, y)]),
        Shape::Spot => spot(2, kind, (x, y), (0.0, 0.0)),
    };
    Site { wind_from: Some(wind_from), ..bare(vec![room, there]) }
}

/// Within 22.5° of the middle of the smoke it blows right at them; its sector is 45° to either
/// side.
#[test]
fn who_is_in_the_smoke_is_found() {
    for (bearing, quiet, neighbor) in [
        (90.0, Some(Wrong), Some(Look)),
        (90.0 + 22.4, Some(Wrong), Some(Look)),
        (90.0 - 22.6, Some(Look), Some(Look)),
        (90.0 + 44.9, Some(Look), Some(Look)),
        (90.0 + 45.1, None, None),
        (90.0 - 45.1, None, None),
        (270.0, None, None),
    ] {
        for (kind, grade) in [
            (Kind::Quiet, quiet),
            (Kind::Wheelchair, quiet),
            (Kind::LostChild, quiet),
            (Kind::School, quiet),
            (Kind::Ambulance, quiet),
            (Kind::Neighbor, neighbor),
            (Kind::Road, neighbor),
            (Kind::Gate, neighbor),
            (Kind::Command, neighbor),
        ] {
            // A west wind.
            let site = downwind(kind, bearing, 270.0);
            let found = grades!(site, given(), What::Smoke { .. });
            assert_eq!(found, grade.into_iter().collect::<Vec<_>>(), "{kind} at {bearing}");
            assert_eq!(grades!(site, given(), What::NobodyInSmoke { .. }).is_empty(), grade.is_some(), "{kind}");
        }
    }
    let found = check(&downwind(Kind::Quiet, 60.0, 270.0), &given());
    let (inside, to, bearing) = only!(found, What::Smoke { inside, to, bearing, .. } => (inside, to, bearing));
    near(inside, 15.0, 1e-9);
    near(to, 90.0, 1e-9);
    near(bearing, 60.0, 1e-9);
    // Across north, the short way around.
    assert_eq!(grades!(downwind(Kind::Quiet, 350.0, 190.0), given(), What::Smoke { .. }), [Wrong]);
    // Equipment minds no smoke.
    assert!(grades!(downwind(Kind::Tank, 90.0, 270.0), given(), What::Smoke { .. }).is_empty());
}

/// A road that passes 100 m away has no corner in the sector, but the smoke crosses it.
#[test]
fn smoke_between_two_corners_is_found() {
    let road = |x: f64| {
        let road = line(2, Kind::Road, 8.0, &[(x, -500.0), (x, 500.0)]);
        Site { wind_from: Some(270.0), ..bare(vec![spot(1, Kind::RoomA, (20.0, 10.0), (2.4, 2.4)), road]) }
    };
    assert_eq!(grades!(road(120.0), given(), What::Smoke { .. }), [Look]);
    assert!(grades!(road(-80.0), given(), What::Smoke { .. }).is_empty());
    // Around a room, there is smoke whatever the wind.
    for wind in [0.0, 77.0, 200.0] {
        let around = block(2, Kind::Crowd, (0.0, 0.0), (40.0, 20.0));
        let around =
            Site { wind_from: Some(wind), ..bare(vec![spot(1, Kind::RoomA, (20.0, 10.0), (2.4, 2.4)), around]) };
        assert_eq!(grades!(around, given(), What::Smoke { .. }), [Wrong], "{wind}");
    }
}

/// The estimate asks for 10 m for what melts; embers are looked out for 60 m downwind.
#[test]
fn what_burns_or_bursts_is_far_enough() {
    // To the right of room B's front, which ends at (31.2, 11.2).
    let tank = |apart: f64, kind: Kind, wind_from: f64| {
        let mut site = with(spot(99, kind, (31.2 + apart, 11.2), (0.0, 0.0)));
        site.wind_from = Some(wind_from);
        site
    };
    for kind in [Kind::Gas, Kind::Vehicle] {
        for (apart, wind_from, grade) in [
            (9.99, 180.0, Some(Wrong)),
            (10.01, 180.0, None),
            (10.01, 270.0, Some(Look)),
            (59.99, 270.0, Some(Look)),
            (60.01, 270.0, None),
            (9.99, 270.0, Some(Wrong)),
        ] {
            let found: Vec<Grade> = check(&tank(apart, kind, wind_from), &given())
                .iter()
                .filter(|it| matches!(it.what, What::Fuel { .. }) && it.items == [99])
                .map(|it| it.grade)
                .collect();
            assert_eq!(found, grade.into_iter().collect::<Vec<_>>(), "{kind} at {apart}, wind from {wind_from}");
        }
    }
    // What was accepted under the embers isn't accepted in the heat.
    let accepted = badness!(tank(50.0, Kind::Gas, 270.0), given(), What::Fuel { kind: Kind::Gas, .. });
    assert!(badness!(tank(30.0, Kind::Gas, 270.0), given(), What::Fuel { kind: Kind::Gas, .. }) > accepted + 19.9);
    let hotter = with_heat(|heat| heat.things = 55.0);
    let now = badness!(tank(50.0, Kind::Gas, 270.0), hotter, What::Fuel { kind: Kind::Gas, .. });
    assert!(now > accepted + 1.0, "{now} and {accepted}");
    let grass = with(block(99, Kind::DryGrass, (0.0, 0.0), (60.0, 5.0)));
    assert_eq!(grades!(grass, given(), What::Fuel { kind: Kind::DryGrass, .. }), [Wrong]);
    // Without an estimate, the public's line of 24 m counts.
    let given = Given { heat: None, ..given() };
    assert_eq!(grades!(tank(23.9, Kind::Gas, 180.0), given, What::Fuel { .. }), [Wrong]);
    assert!(grades!(tank(24.1, Kind::Gas, 180.0), given, What::Fuel { .. }).is_empty());
}

/// Cars that are parked, and siding: 10 m.
#[test]
fn parked_cars_and_houses_are_far_enough() {
    let parking = |x: f64| with_item(19, |lot| lot.at = places(&[(x, 15.0), (x + 60.0, 15.0), (x + 60.0, 60.0)]));
    // √(9² + 3.8²) = 9.8 m from (31.2, 11.2), and √(10² + 3.8²) = 10.7 m.
    assert_eq!(grades!(parking(40.2), given(), What::Fuel { kind: Kind::Parking, .. }), [Wrong]);
    assert!(grades!(parking(41.2), given(), What::Fuel { .. }).is_empty());
    for kind in [Kind::Neighbor, Kind::School] {
        let house = |apart: f64| with(spot(99, kind, (30.0, 11.2 + apart + 2.0), (4.0, 4.0)));
        assert_eq!(grades!(house(9.9), given(), What::Fuel { .. }), [Wrong], "{kind}");
        assert!(grades!(house(10.1), given(), What::Fuel { .. }).is_empty(), "{kind}");
        assert!(grades!(house(9.9), Given { heat: None, ..given() }, What::Fuel { .. }).is_empty(), "{kind}");
    }
}

/// Within 15 m of a room. Room A reaches from x = 18.8, room B to 31.2.
#[test]
fn an_overhead_line_is_far_from_the_rooms() {
    let wire = |x: f64| with(line(99, Kind::Overhead, 0.0, &[(x, -100.0), (x, 100.0)]));
    for (x, apart, grade) in [(3.9, 14.9, Wrong), (3.7, 15.1, Good), (46.3, 15.1, Good), (20.0, 0.0, Wrong)] {
        assert_eq!(grades!(wire(x), given(), What::Overhead { .. }), [grade], "{x}");
        let found = check(&wire(x), &given());
        near(only!(found, What::Overhead { apart } => apart), apart, 1e-9);
    }
    assert!(grades!(site(), given(), What::Overhead { .. }).is_empty());
    // One for each line.
    let mut two = wire(3.9);
    two.items.push(line(98, Kind::Overhead, 0.0, &[(-100.0, -60.0), (100.0, -60.0)]));
    assert_eq!(grades!(two, given(), What::Overhead { .. }), [Wrong, Good]);
}

/// NUREG-1805, equation 5-1: 0.35 · Q / (4 π d²). At 2 m it is 10 kW/m² for Q = 1,436.2 kW.
fn rooms_apart(apart: f64, shields: &[Item]) -> Site {
    let a = spot(1, Kind::RoomA, (0.0, 0.0), (2.0, 2.0));
    // The flame is at (0, 1), and room B's nearest corner straight to the right of it.
    let b = spot(2, Kind::RoomB, (apart + 1.0, 0.0), (2.0, 2.0));
    bare([vec![a, b], shields.to_vec()].concat())
}

#[test]
fn room_a_leaves_room_b_alone() {
    let given = |flame: f64| with_heat(|heat| heat.flame = flame);
    let on = |flame: f64, shields: &[Item]| grades!(rooms_apart(2.0, shields), given(flame), What::OnRoomB { .. });
    for (flame, grade) in [(718.0, Good), (719.0, Look), (1436.0, Look), (1437.0, Wrong)] {
        assert_eq!(on(flame, &[]), [grade], "{flame}");
    }
    let found = check(&rooms_apart(2.0, &[]), &given(1436.2));
    let (flux, apart) = only!(found, What::OnRoomB { flux, apart, .. } => (flux, apart));
    near(flux, 10.0, 1e-3);
    near(apart, 2.0, 1e-9);
    // A shield in the way helps, but not much.
    let shield = |y: f64, depth: f64| spot(3, Kind::Shield, (1.5, y), (0.1, depth));
    assert_eq!(on(1437.0, &[shield(1.0, 3.0)]), [Look]);
    assert_eq!(on(1436.0, &[shield(1.0, 3.0)]), [Good]);
    // One that hides only the middle of room B doesn't count, nor does one behind room B.
    assert_eq!(on(1437.0, &[shield(0.6, 0.4)]), [Wrong]);
    assert_eq!(on(1437.0, &[spot(3, Kind::Shield, (9.0, 0.0), (0.1, 9.0))]), [Wrong]);
    // Two halves are a whole.
    assert_eq!(on(1437.0, &[shield(0.0, 1.0), shield(1.0, 1.1)]), [Look]);
    // Who accepted it with a shield didn't accept it without one.
    let badness = |shields: &[Item]| badness!(rooms_apart(2.0, shields), given(1500.0), What::OnRoomB { .. });
    assert!(badness(&[]) > badness(&[shield(1.0, 3.0)]));
    let both = Given { both_at_once: true, ..self::given() };
    assert!(grades!(site(), both, What::OnRoomB { .. }).is_empty());
}

/// 20 ft wide: the International Fire Code, 503.2.1. The lane goes down at x = 65.
#[test]
fn fire_lanes_are_wide_and_free() {
    let wide = |feet: f64| with_item(16, |lane| lane.width = feet * FOOT);
    for (feet, grade) in [(20.0, Good), (19.9, Look), (26.0, Good), (0.0, Look)] {
        assert_eq!(grades!(wide(feet), given(), What::Lane { blocked: false, .. }), [grade], "{feet}");
    }
    near(badness!(wide(15.0), given(), What::Lane { .. }), 5.0 * FOOT, 1e-9);
    // It reaches from 61.952 to 68.048.
    for (x, kind, blocked) in [
        (61.4, Kind::Quiet, false),
        (61.5, Kind::Quiet, true),
        (65.0, Kind::Tank, true),
        (65.0, Kind::Engine, false),
        (65.0, Kind::Gate, false),
    ] {
        let site = with(spot(99, kind, (x, 40.0), (1.0, 1.0)));
        let found = check(&site, &given());
        assert_eq!(only!(found, What::Lane { blocked, .. } => blocked), blocked, "{kind} at {x}");
        assert_eq!(grades!(site, given(), What::Lane { .. }), [if blocked { Wrong } else { Good }]);
    }
    let beside = spot(99, Kind::Tank, (63.0, 40.0), (1.0, 1.0));
    // Without a width, what stands in the width it needs is in its way.
    let mut thin = wide(0.0);
    thin.items.push(beside);
    assert_eq!(grades!(thin, given(), What::Lane { blocked: true, .. }), [Wrong]);
    // One that begins where it ends is no lane.
    let none = with_item(16, |lane| lane.at = places(&[(65.0, 5.0), (65.0, 5.0)]));
    assert_eq!(grades!(none, given(), What::Lane { .. }), [Look]);
    assert!(grades!(without(Kind::FireLane), given(), What::Lane { .. }).is_empty());
}

/// A bend's whole corner is part of the lane: two strips of 10 × 2 m at a right angle share one
/// square meter inside the bend, and get one outside of it.
#[test]
fn a_lane_with_bends_is_in_one_piece() {
    use geo::Area;
    let bent = |at: &[(f64, f64)]| line(1, Kind::FireLane, 2.0, at).outline();
    near(bent(&[(0.0, 0.0), (10.0, 0.0), (10.0, 10.0)]).unsigned_area(), 40.0, 1e-4);
    // Straight on, and with a place twice.
    near(bent(&[(0.0, 0.0), (4.0, 3.0), (8.0, 6.0)]).unsigned_area(), 20.0, 1e-4);
    near(
        bent(&[(0.0, 0.0), (0.1, 0.3), (0.3, 0.9), (0.3, 0.9), (0.7, 2.1)]).unsigned_area(),
        2.0 * 4.9_f64.sqrt(),
        1e-4,
    );
    // Around four sides of a square of 10 m, a hole of 8 m stays free, and so do the 2 m² outside
    // of the corner where it begins and ends.
    let around = bent(&[(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0), (0.0, 1.0)]);
    near(around.unsigned_area(), 144.0 - 64.0 - 2.0, 1e-4);
    let site = |x: f64| {
        let lane = line(2, Kind::FireLane, 8.0, &[(0.0, 0.0), (50.0, 0.0), (50.0, 50.0)]);
        let tank = spot(3, Kind::Tank, (x, -x + 50.0), (0.1, 0.1));
        bare(vec![spot(1, Kind::RoomA, (10.0, 30.0), (2.4, 2.4)), lane, tank])
    };
    for (x, blocked) in [(53.9, true), (54.1, false), (46.1, true), (45.8, false)] {
        let found = check(&site(x), &given());
        assert_eq!(only!(found, What::Lane { blocked, .. } => blocked), blocked, "{x}");
    }
}

/// The press with an escort keeps 8 m. Room B's front ends at (31.2, 11.2).
#[test]
fn the_escort_path_keeps_its_distance() {
    let at = |apart: f64| with_item(21, |path| path.at = places(&[(45.0, 40.0), (30.0, 11.2 + apart)]));
    assert_eq!(grades!(at(8.0), given(), What::Escort { .. }), [Good]);
    assert_eq!(grades!(at(7.99), given(), What::Escort { .. }), [Wrong]);
    let found = check(&at(5.0), &given());
    near(only!(found, What::Escort { nearest, .. } => nearest), 5.0, 1e-9);
    near(badness!(at(5.0), given(), What::Escort { .. }), 3.0, 1e-9);
}

/// √(20² + 6²) + √(4² + 1²) = 25.004 m.
#[test]
fn a_hose_reaches() {
    for (hose, grade) in [(Some(25.0), Some(Wrong)), (Some(25.01), None), (None, None)] {
        let given = Given { hose, ..given() };
        assert_eq!(grades!(site(), given, What::HoseShort { .. }), grade.into_iter().collect::<Vec<_>>());
    }
    near(badness!(site(), Given { hose: Some(20.0), ..given() }, What::HoseShort { .. }), 5.004, 1e-3);
    let found = check(&site(), &Given { hose: Some(20.0), ..given() });
    near(only!(found, What::HoseShort { drawn, .. } => drawn), 436_f64.sqrt() + 17_f64.sqrt(), 1e-9);
}

#[test]
fn a_hose_through_the_crowd_is_found() {
    assert!(grades!(site(), given(), What::HoseInCrowd).is_empty());
    // The crowd's front is at 36.2.
    let through = |y: f64| with_item(20, |hose| hose.at = places(&[(25.0, 20.0), (25.0, y)]));
    assert_eq!(grades!(through(36.3), given(), What::HoseInCrowd).len(), 1);
    // The interpreter stands before the crowd, from 35.75 on.
    assert!(grades!(through(35.7), given(), What::HoseInCrowd).is_empty());
    let badness = |y: f64| badness!(through(y), given(), What::HoseInCrowd);
    assert!(badness(40.0) > badness(37.0) + 2.9);
    // Across a way out people trip, too.
    let gate = with_item(20, |hose| hose.at = places(&[(5.0, 50.0), (20.0, 50.0)]));
    let found = check(&gate, &given());
    let found: Vec<&Finding> = found.iter().filter(|finding| finding.what == What::HoseInCrowd).collect();
    assert!(found.len() == 1 && found[0].items == [20, 5] && found[0].grade == Wrong, "{found:?}");
}
