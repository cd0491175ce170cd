//! Shapes on a drawing against another package, shapely: areas, distances, and what crosses
//! what, through the checks where they use them.

use super::checks::{area, bare, line, only, spot};
use burnday::calc::site::{Given, Heat, Item, Kind, Place, What, check};
use geo::Area;
use serde_json::Value;

const SHAPES: &str = include_str!("../../reference/site_shapes.json");

/// Shapely's distances are printed to the micrometer, and its areas to the square centimeter.
const DISTANCE: f64 = 2e-6;
const AREA: f64 = 2e-4;

/// One case: its shapes, and what shapely says about them.
struct Case {
    one: Vec<Place>,
    two: Vec<Place>,
    point: Place,
    segment: [Place; 2],
    rectangle: Vec<Place>,
    areas: [f64; 2],
    polygons: f64,
    meet: bool,
    to_polygon: f64,
    to_segment: f64,
    polygon_segment: f64,
    segment_meets: bool,
    segment_enters: bool,
    /// Its rectangle is upright, and shapes may just touch.
    on_grid: bool,
}

fn place(value: &Value) -> Place {
    Place { x: value[0].as_f64().unwrap(), y: value[1].as_f64().unwrap() }
}

fn ring(value: &Value) -> Vec<Place> {
    value.as_array().unwrap().iter().map(place).collect()
}

fn cases() -> Vec<Case> {
    let all: Value = serde_json::from_str(SHAPES).unwrap();
    let columns: Vec<String> = serde_json::from_value(all["columns"].clone()).unwrap();
    let random = usize::try_from(all["random"].as_u64().unwrap()).unwrap();
    let cases = all["cases"].as_array().unwrap().iter().enumerate().map(|(number, row)| {
        let at = |name: &str| &row[columns.iter().position(|column| column == name).unwrap()];
        let (meters, is) = (|name: &str| at(name).as_f64().unwrap(), |name: &str| at(name).as_bool().unwrap());
        Case {
            one: ring(at("one")),
            two: ring(at("two")),
            point: place(at("point")),
            segment: [place(&at("segment")[0]), place(&at("segment")[1])],
            rectangle: ring(at("rectangle")),
            areas: [meters("area_one"), meters("area_two")],
            polygons: meters("polygons"),
            meet: is("polygons_meet"),
            to_polygon: meters("to_polygon"),
            to_segment: meters("to_segment"),
            polygon_segment: meters("polygon_segment"),
            segment_meets: is("segment_meets"),
            segment_enters: is("segment_enters"),
            on_grid: number >= random,
        }
    });
    let cases: Vec<Case> = cases.collect();
    assert_eq!((cases.len(), random), (300, 220));
    cases
}

#[track_caller]
fn near(value: f64, wanted: f64, off: f64, number: usize) {
    assert!((value - wanted).abs() <= off, "case {number}: {value}, not {wanted}");
}

/// Without ground of its own: a place.
fn dot(id: u32, kind: Kind, at: Place) -> Item {
    spot(id, kind, (at.x, at.y), (0.0, 0.0))
}

fn ringed(id: u32, kind: Kind, ring: &[Place]) -> Item {
    area(id, kind, &ring.iter().map(|at| (at.x, at.y)).collect::<Vec<_>>())
}

/// A room without depth, so that its front is this segment.
fn fronted([from, to]: [Place; 2]) -> Item {
    let (wide, deep) = (to.x - from.x, to.y - from.y);
    let middle = from.halfway(to);
    let room = spot(1, Kind::RoomA, (middle.x, middle.y), (wide.hypot(deep), 0.0));
    Item { turn: deep.atan2(wide).to_degrees(), ..room }
}

/// Everything is too near to something that melts, and to the press.
fn asks_for_much() -> Given {
    let heat = Heat { public: 1e6, public_with_wind: 1e6, press: 1e6, things: 1e6, flame: 1.0, radiated: 0.35 };
    Given { people: 0, lit_at: 0, place: None, heat: Some(heat), hose: None, both_at_once: false }
}

/// How far something is from a room's front, as the check of fuels finds it.
fn from_front(room: Item, item: Item) -> f64 {
    let found = check(&bare(vec![room, item]), &asks_for_much());
    only!(found, What::Fuel { apart, .. } => apart)
}

#[test]
fn areas_are_shapelys_and_count_in_the_capacity() {
    for (number, case) in cases().iter().enumerate() {
        for (ring, theirs) in [(&case.one, case.areas[0]), (&case.two, case.areas[1])] {
            let crowd = ringed(2, Kind::Crowd, ring);
            near(crowd.outline().unsigned_area(), theirs, AREA, number);
            assert!(!crowd.is_tangled(), "{number}");
            assert_eq!(crowd.edge(), *ring, "{number}");
            let found = check(&bare(vec![dot(1, Kind::RoomA, case.point), crowd]), &asks_for_much());
            near(only!(found, What::Capacity { area, .. } => area), theirs, AREA, number);
        }
    }
}

/// Where two areas of the crowd share ground, it holds people only once. Areas apart add up.
#[test]
fn two_areas_hold_at_most_what_each_holds() {
    let mut sharing = 0;
    for (number, case) in cases().iter().enumerate() {
        let crowds = [ringed(2, Kind::Crowd, &case.one), ringed(3, Kind::Crowd, &case.two)];
        let room = dot(1, Kind::RoomA, case.point);
        let found = check(&bare(vec![room, crowds[0].clone(), crowds[1].clone()]), &asks_for_much());
        let ours = only!(found, What::Capacity { area, .. } => area);
        let [one, two] = case.areas;
        assert!(ours <= one + two + AREA && ours >= one.max(two) - AREA, "case {number}: {ours} of {one} and {two}");
        if !case.meet {
            near(ours, one + two, 2.0 * AREA, number);
        } else if ours < one + two - 0.01 {
            sharing += 1;
        }
    }
    assert!(sharing > 50, "{sharing}");
}

#[test]
fn gaps_are_shapelys_both_ways() {
    for (number, case) in cases().iter().enumerate() {
        let (one, two) = (ringed(1, Kind::Crowd, &case.one), ringed(2, Kind::Parking, &case.two));
        near(one.gap(&two), case.polygons, DISTANCE, number);
        near(two.gap(&one), case.polygons, DISTANCE, number);
        assert_eq!(one.gap(&two) <= 0.0, case.meet, "{number}");
        near(one.gap(&dot(3, Kind::Gas, case.point)), case.to_polygon, DISTANCE, number);
        // An outline that was only begun is a place, too.
        let begun = ringed(4, Kind::Parking, &[case.point]);
        near(begun.gap(&one), case.to_polygon, DISTANCE, number);
        assert!(begun.is_tangled() && begun.gap(&ringed(5, Kind::Parking, &[])).is_infinite(), "{number}");
    }
}

#[test]
fn distances_from_a_front_are_shapelys() {
    for (number, case) in cases().iter().enumerate() {
        let grass = ringed(2, Kind::DryGrass, &case.one);
        let [left, right] = fronted(case.segment).front();
        near(left.distance(case.segment[0]).max(right.distance(case.segment[1])), 0.0, 1e-9, number);
        near(from_front(fronted(case.segment), grass.clone()), case.polygon_segment, DISTANCE, number);
        near(from_front(dot(1, Kind::RoomA, case.point), grass), case.to_polygon, DISTANCE, number);
        let tank = dot(2, Kind::Gas, case.point);
        near(from_front(fronted(case.segment), tank), case.to_segment, DISTANCE, number);
    }
}

#[test]
fn distances_from_a_path_are_shapelys() {
    for (number, case) in cases().iter().enumerate() {
        let ends = case.segment.map(|at| (at.x, at.y));
        let room = dot(1, Kind::RoomA, case.point);
        let path = line(2, Kind::Escort, 0.0, &ends);
        let found = check(&bare(vec![room.clone(), path.clone()]), &asks_for_much());
        near(only!(found, What::Escort { nearest, .. } => nearest), case.to_segment, DISTANCE, number);
        // The whole width of a path counts.
        let wide = Item { width: 3.0, ..path };
        let found = check(&bare(vec![room, wide]), &asks_for_much());
        let nearer = (case.to_segment - 1.5).max(0.0);
        near(only!(found, What::Escort { nearest, .. } => nearest), nearer, DISTANCE, number);
    }
}

/// A hose that meets the crowd's ground is found, and is the worse the more of it is inside.
#[test]
fn a_hose_crosses_what_shapely_says() {
    let mut crossing = 0;
    for (number, case) in cases().iter().enumerate() {
        let crowd = ringed(2, Kind::Crowd, &case.rectangle);
        let hose = line(3, Kind::Hose, 0.0, &case.segment.map(|at| (at.x, at.y)));
        let found = check(&bare(vec![dot(1, Kind::RoomA, case.point), crowd, hose.clone()]), &asks_for_much());
        let crosses = found.iter().find(|finding| finding.what == What::HoseInCrowd);
        assert_eq!(crosses.is_some(), case.segment_meets, "{number}");
        let Some(crosses) = crosses else { continue };
        assert!((-1e-9..=hose.length() + 1e-6).contains(&crosses.badness), "{number}: {}", crosses.badness);
        // On the grid, one that only runs along an edge counts, too.
        if case.segment_enters || !case.on_grid {
            assert_eq!(crosses.badness > 1e-6, case.segment_enters, "{number}: {}", crosses.badness);
        }
        crossing += u32::from(case.segment_enters);
    }
    assert!(crossing > 80, "{crossing}");
}

/// The corners of a spot with a rectangle's size and turn. Those of the cases are rounded to
/// centimeters.
#[test]
fn a_turned_spot_has_the_corners_of_the_rectangle() {
    for (number, case) in cases().iter().enumerate() {
        let [a, b, c, d] = case.rectangle[..] else { panic!("{number}") };
        let middle = a.halfway(c);
        let turn = (b.y - a.y).atan2(b.x - a.x).to_degrees();
        let room = spot(1, Kind::RoomA, (middle.x, middle.y), (a.distance(b), b.distance(c)));
        let room = Item { turn, ..room };
        for corner in [a, b, c, d] {
            let off = room.corners().iter().map(|at| at.distance(corner)).fold(f64::INFINITY, f64::min);
            near(off, 0.0, 0.03, number);
        }
        let paths = line(2, Kind::Overhead, 0.0, &case.segment.map(|at| (at.x, at.y)));
        let found = check(&bare(vec![room, paths]), &asks_for_much());
        if case.on_grid {
            let apart = only!(found, What::Overhead { apart } => apart);
            assert_eq!(apart < 1e-9, case.segment_meets, "{number}: {apart}");
        }
    }
}

#[test]
fn tangled_outlines_are_those_that_shapely_calls_invalid() {
    let all: Value = serde_json::from_str(SHAPES).unwrap();
    let rings = all["rings"].as_array().unwrap();
    let mut tangled = 0;
    for (number, row) in rings.iter().enumerate() {
        let is_valid = row[1].as_bool().unwrap();
        assert_eq!(!ringed(1, Kind::Crowd, &ring(&row[0])).is_tangled(), is_valid, "{number}");
        tangled += u32::from(!is_valid);
    }
    assert!(rings.len() == 100 && (20..80).contains(&tangled), "{tangled} of {}", rings.len());
}
