//! All checks of a site with 200 objects and a crowd of 60 rows, and of the largest one,
//! compared with plain `geo`: the distances between all pairs of the same outlines, which are
//! drawn once.

mod ratio;

use burnday::calc::site::sight::Posture;
use burnday::calc::site::{FOOT, Given, Heat, Item, Kind, Place, Shape, Site, What, check};
use geo::{Distance, Euclidean, Polygon};
use std::hint::black_box;
use std::time::Instant;

/// One row behind the other, m.
const ROW: f64 = 1.0;

fn main() {
    let given = given();
    // 5 ms for 200 objects, where the plain distances take 17 ms. A drawing has 400 at most.
    for (objects, goal) in [(200, 0.0..=0.3), (400, 0.0..=0.3)] {
        let site = site(objects, 60);
        assert_eq!(rows(&site, &given), 60);
        let outlines: Vec<Polygon> = site.items.iter().map(Item::outline).collect();
        let plain = |_| millis(|| distances(&outlines));
        let name = format!("{objects} objects, 60 rows: to distances");
        ratio::compare(&name, "ms", &goal, 100, plain, |_| millis(|| check(&site, &given)));
    }
}

fn millis<T>(work: impl FnOnce() -> T) -> f64 {
    let at = Instant::now();
    black_box(work());
    at.elapsed().as_secs_f64() * 1e3
}

fn distances(outlines: &[Polygon]) -> f64 {
    let pairs = outlines.iter().enumerate().flat_map(|(at, one)| outlines[at + 1..].iter().map(move |two| (one, two)));
    pairs.map(|(one, two)| Euclidean.distance(one, two)).sum()
}

/// How many rows the checks count.
fn rows(site: &Site, given: &Given) -> u32 {
    let found = check(site, given).into_iter().find_map(|finding| match finding.what {
        What::Sight { rows, .. } | What::AllSee { rows, .. } => Some(rows),
        _ => None,
    });
    found.unwrap_or(0)
}

fn item(id: u32, kind: Kind, at: Vec<Place>) -> Item {
    let (width, depth, turn) = (3.0, 2.0, f64::from(id * 37 % 360));
    Item { id, kind, name: String::new(), at, width, depth, turn, height: 0.0, count: 2, level: 90.0 }
}

fn place(x: f64, y: f64) -> Place {
    Place { x, y }
}

/// Two rooms, a crowd, and of every other kind as many as of any other, side by side in lines
/// around the crowd.
fn site(objects: u32, rows: u16) -> Site {
    let room = |id, kind, x| Item { turn: 0.0, height: 1.0, ..item(id, kind, vec![place(x, 50.0)]) };
    let back = 76.0 + ROW * (f64::from(rows) - 0.5);
    let crowd = [(98.0, 76.0), (102.0, 76.0), (102.0, back), (98.0, back)].map(|(x, y)| place(x, y));
    let first = [room(1, Kind::RoomA, 98.0), room(2, Kind::RoomB, 102.0), item(3, Kind::Crowd, crowd.to_vec())];
    let others: Vec<Kind> = Kind::ALL.into_iter().filter(|kind| !kind.is_room() && *kind != Kind::Crowd).collect();
    let others = (4..=objects).zip(others.into_iter().cycle());
    let others = others.map(|(id, kind)| item(id, kind, around(kind, f64::from(id % 20), f64::from(id / 20))));
    Site {
        items: first.into_iter().chain(others).collect(),
        north: 20.0,
        wind_from: Some(250.0),
        crowd_line: 75.0 * FOOT,
        density: 1.0,
        aisles: 0.2,
        posture: Posture::Standing,
        row: ROW,
        rise: 0.1,
        watched: 1.0,
        murmur: 65.0,
        exit_inches: 0.2,
        people_per_toilet: 100,
        people_per_car: 2.5,
        receivers: 10,
        minutes: 90,
    }
}

/// Areas have eight corners and paths five places.
fn around(kind: Kind, column: f64, line: f64) -> Vec<Place> {
    let (x, y) = (12.0 * column, 15.0 * line);
    let corners = (0..8_u8).map(|corner| {
        let (sin, cos) = (f64::from(corner) * 45.0_f64).to_radians().sin_cos();
        place(x + 6.0 * cos, y + 4.0 * sin)
    });
    let bends = (0..5_u8).map(|bend| place(x + 9.0 * f64::from(bend), y + f64::from(bend % 2)));
    match kind.shape() {
        Shape::Spot => vec![place(x, y)],
        Shape::Area => corners.collect(),
        Shape::Line => bends.collect(),
    }
}

fn given() -> Given {
    let heat = Heat { public: 18.0, public_with_wind: 25.0, press: 9.0, things: 12.0, flame: 4000.0, radiated: 0.35 };
    Given {
        people: 600,
        lit_at: 1_812_218_400,
        place: Some((42.0, -93.0)),
        heat: Some(heat),
        hose: Some(45.0),
        both_at_once: false,
    }
}
