//! What must hold for any site.

use super::checks::{bare, given, only, site, spot};
use burnday::calc::fire::radiation::{RADIATED, point_source};
use burnday::calc::site::sight::Posture;
use burnday::calc::site::{FOOT, Finding, Given, INCH, Item, Kind, Place, Shape, Site, What, check};
use geo::Area;
use proptest::prelude::*;

fn place() -> impl Strategy<Value = Place> {
    (0.0..150.0_f64, 0.0..120.0_f64).prop_map(|(x, y)| Place { x, y })
}

/// A ring around a middle, without crossings; or a path.
fn places(kind: Kind, middle: Place, around: &[(f64, f64)]) -> Vec<Place> {
    let count = f64::from(u32::try_from(around.len()).unwrap());
    let ring = around.iter().zip(0_u32..).map(|((share, radius), number)| {
        let angle = std::f64::consts::TAU * (f64::from(number) + 0.8 * share) / count;
        Place { x: middle.x + radius * angle.cos(), y: middle.y + radius * angle.sin() }
    });
    match kind.shape() {
        Shape::Spot => vec![middle],
        Shape::Area => ring.collect(),
        Shape::Line => around.iter().map(|(share, radius)| middle.halfway(at(share * 90.0, *radius))).collect(),
    }
}

const fn at(x: f64, y: f64) -> Place {
    Place { x, y }
}

/// Anything, of the sizes that a form allows.
fn item(kind: impl Strategy<Value = Kind>) -> impl Strategy<Value = Item> {
    let around = prop::collection::vec((0.0..1.0_f64, 3.0..25.0_f64), 3..8);
    let sizes = (0.1..12.0_f64, 0.1..12.0_f64, -360.0..360.0_f64, 0.0..2.0_f64);
    (kind, place(), around, sizes, (0..9_u32, 60.0..110.0_f64)).prop_map(
        |(kind, middle, around, (width, depth, turn, height), (count, level))| Item {
            id: 0,
            kind,
            name: String::new(),
            at: places(kind, middle, &around),
            width,
            depth,
            turn,
            height,
            count,
            level,
        },
    )
}

fn any_kind() -> impl Strategy<Value = Kind> {
    prop::sample::select(Kind::ALL.to_vec())
}

fn only_kind(kind: Kind) -> impl Strategy<Value = Kind> {
    Just(kind)
}

/// Two rooms, a crowd, and whatever else there is.
fn sites() -> impl Strategy<Value = Site> {
    let needed = [Kind::RoomA, Kind::RoomB, Kind::Crowd, Kind::Speaker];
    let needed = needed.map(|kind| item(only_kind(kind)));
    let others = prop::collection::vec(item(any_kind()), 0..20);
    let numbers = (0.0..360.0_f64, 0.0..360.0_f64, 5.0..60.0_f64, 0.4..1.5_f64, -0.1..0.3_f64, 0.0..3.0_f64);
    (needed, others, numbers, any::<bool>()).prop_map(|(needed, others, numbers, seated)| {
        let (north, wind, crowd_line, row, rise, watched) = numbers;
        let mut items: Vec<Item> = needed.into_iter().chain(others).collect();
        for (item, id) in items.iter_mut().zip(1..) {
            item.id = id;
        }
        let posture = if seated { Posture::Seated } else { Posture::Standing };
        Site { north, wind_from: Some(wind), crowd_line, row, rise, watched, posture, ..bare(items) }
    })
}

/// Turned clockwise about a place, and then moved.
fn turned(site: &Site, angle: f64, about: Place, by: Place) -> Site {
    let (sin, cos) = angle.to_radians().sin_cos();
    let mut site = site.clone();
    for item in &mut site.items {
        item.turn += angle;
        for place in &mut item.at {
            let (x, y) = (place.x - about.x, place.y - about.y);
            *place = at(about.x + x * cos - y * sin + by.x, about.y + x * sin + y * cos + by.y);
        }
    }
    site
}

/// A finding as text, and its numbers.
fn read(finding: &Finding) -> (String, Vec<f64>) {
    let text = format!("{finding:?}").replace("inf", "1e9");
    let is_number = |c: char| c.is_ascii_digit() || matches!(c, '.' | '-' | 'e');
    let parts: Vec<&str> = text.split(|c: char| !is_number(c)).collect();
    let numbers = parts.iter().filter_map(|part| part.parse().ok()).collect();
    (text.split(|c: char| c.is_ascii_digit() || matches!(c, '.' | '-')).collect(), numbers)
}

/// Do two drawings have the same findings, but for rounding? A bearing of 360 is one of 0.
fn alike(one: &[Finding], two: &[Finding]) -> Result<(), TestCaseError> {
    prop_assert_eq!(one.len(), two.len(), "{:#?}\n{:#?}", one, two);
    for (one, two) in one.iter().zip(two) {
        let ((says, first), (also, second)) = (read(one), read(two));
        prop_assert_eq!(one.grade, two.grade);
        prop_assert_eq!(says.replace('e', ""), also.replace('e', ""));
        prop_assert_eq!(first.len(), second.len(), "{:?}\n{:?}", one, two);
        for (a, b) in first.into_iter().zip(second) {
            let off = (a - b).abs();
            prop_assert!(off < 1e-4 || (off - 360.0).abs() < 1e-4, "{:?}\n{:?}", one, two);
        }
    }
    Ok(())
}

/// Findings that the compass has a part in.
fn is_of_sun_or_wind(finding: &Finding) -> bool {
    matches!(
        finding.what,
        What::Glare { .. }
            | What::NoGlare { .. }
            | What::Smoke { .. }
            | What::NobodyInSmoke { .. }
            | What::Fuel { is_downwind: true, .. }
    )
}

fn inside(found: &[Finding]) -> Option<f64> {
    only!(found, What::Inside { nearest, .. } => nearest)
}

/// The good site with other speakers in front of the crowd, without pumps; the crowd is all
/// that is public.
fn before_the_crowd(speakers: &[(f64, f64, f64)], turn: f64) -> Site {
    let mut site = site();
    site.items.retain(|item| item.kind.is_room() || item.kind == Kind::Crowd);
    site.items.iter_mut().filter(|item| item.kind.is_room()).for_each(|room| room.turn = turn);
    let speakers = speakers.iter().zip(50..);
    site.items.extend(
        speakers.map(|((x, y, level), id)| Item { level: *level, ..spot(id, Kind::Speaker, (*x, *y), (0.5, 0.5)) }),
    );
    site
}

fn back(site: &Site, meters: f64) -> Site {
    let mut site = site.clone();
    let crowds = site.items.iter_mut().filter(|item| item.kind == Kind::Crowd);
    crowds.flat_map(|crowd| &mut crowd.at).for_each(|place| place.y += meters);
    site
}

fn raised(site: &Site, meters: f64) -> Site {
    let mut site = site.clone();
    site.items.iter_mut().filter(|item| item.kind.is_room()).for_each(|room| room.height += meters);
    site
}

/// What the first row that sees too little sees, and its number; or the last row if all see.
fn seen(found: &[Finding]) -> (Option<u32>, f64) {
    let seen = found.iter().find_map(|finding| match finding.what {
        What::Sight { row, over, .. } => Some((Some(row), over)),
        What::AllSee { over, .. } => Some((None, over)),
        _ => None,
    });
    seen.unwrap()
}

/// Numbers that nobody types: nothing, tiny, large, and below zero.
const EXTREME: &[f64] = &[0.0, -0.0, 1e-300, 1e-9, -1e-9, 1.0, -1.0, 50.0, 1e6, -1e6, 1e9, -1e9];
/// The largest ones, whose squares and differences no number can hold.
const HUGE: &[f64] = &[0.0, 1.0, -1e9, 1e155, -1e200, 1e300, f64::MAX, f64::MIN];

fn one_of(numbers: &'static [f64]) -> impl Strategy<Value = f64> {
    prop::sample::select(numbers)
}

fn extreme_item(numbers: &'static [f64]) -> impl Strategy<Value = Item> {
    let one = || one_of(numbers);
    let at = prop::collection::vec((one(), one()), 0..6);
    let sizes = (one(), one(), one(), one(), one());
    (any_kind(), at, sizes, prop::sample::select(vec![0, 1, u32::MAX]), any::<bool>()).prop_map(
        |(kind, at, (width, depth, turn, height, level), count, is_one_place)| {
            let mut at: Vec<Place> = at.into_iter().map(|(x, y)| Place { x, y }).collect();
            if let (true, Some(first)) = (is_one_place, at.first().copied()) {
                at.fill(first);
            }
            Item { id: 0, kind, name: String::new(), at, width, depth, turn, height, count, level }
        },
    )
}

fn extreme_sites(pool: &'static [f64]) -> impl Strategy<Value = (Site, Given)> {
    let items = prop::collection::vec(extreme_item(pool), 0..12);
    let rooms = (extreme_item(pool), extreme_item(pool));
    let numbers = prop::collection::vec(one_of(pool), 16);
    let counts = (any::<u32>(), any::<u32>(), any::<u32>(), any::<i64>());
    (items, rooms, numbers, counts, (any::<bool>(), any::<bool>())).prop_map(
        |(mut items, (a, b), numbers, (people, per_toilet, minutes, lit_at), (is_windy, is_hot))| {
            items.push(Item { kind: Kind::RoomA, ..a });
            items.push(Item { kind: Kind::RoomB, ..b });
            let mut numbers = numbers.into_iter();
            let mut next = || numbers.next().unwrap();
            let site = Site {
                items,
                north: next(),
                wind_from: is_windy.then_some(next()),
                crowd_line: next(),
                density: next(),
                aisles: next(),
                posture: Posture::Standing,
                row: next(),
                rise: next(),
                watched: next(),
                murmur: next(),
                exit_inches: next(),
                people_per_toilet: per_toilet,
                people_per_car: next(),
                receivers: 0,
                minutes,
            };
            let mut given = Given { people, lit_at, place: Some((next(), next())), hose: Some(next()), ..given() };
            let asked = next();
            given.heat = given.heat.filter(|_| is_hot);
            if let Some(heat) = &mut given.heat {
                (heat.public, heat.public_with_wind, heat.press) = (asked, 2.0 * asked, asked);
                (heat.things, heat.flame) = (asked, next());
            }
            (site, given)
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn farther_back_is_never_louder_hotter_or_inside(
        speakers in prop::collection::vec((0.0..50.0_f64, 12.0..36.0_f64, 70.0..120.0_f64), 1..4),
        turn in -40.0..40.0_f64,
        (nearer, meters) in (-20.0..0.0_f64, 0.0..80.0_f64),
        line in 5.0..60.0_f64,
    ) {
        let mut near = back(&before_the_crowd(&speakers, turn), nearer);
        // All speakers are before the crowd.
        near.items.iter_mut().filter(|it| it.kind == Kind::Speaker).for_each(|it| it.at[0].y += nearer);
        near.crowd_line = line;
        let far = back(&near, meters);
        let (before, after) = (check(&near, &given()), check(&far, &given()));
        let heard = |found: &[Finding]| {
            only!(found, What::Speech { first, last, loudest } => (f64::min(first, last), loudest))
        };
        let ((least, loudest), (least_after, loudest_after)) = (heard(&before), heard(&after));
        prop_assert!(loudest_after <= loudest + 1e-9, "{} {}", loudest, loudest_after);
        // With several speakers, who stands beside a quiet one counts, and moves along.
        prop_assert!(speakers.len() > 1 || least_after <= least + 1e-9, "{} {}", least, least_after);
        if inside(&before).is_none() {
            prop_assert_eq!(inside(&after), None);
        }
        // As near as the crowd is, whatever the line.
        let nearest = |site: &Site| inside(&check(&Site { crowd_line: 1e4, ..site.clone() }, &given())).unwrap();
        let flux = |site: &Site| point_source(3000.0, RADIATED, nearest(site));
        prop_assert!(flux(&far) <= flux(&near) + 1e-9);
    }

    #[test]
    fn a_higher_floor_never_hides_more(site in sites(), meters in 0.0..3.0_f64) {
        let (before, after) = (seen(&check(&site, &given())), seen(&check(&raised(&site, meters), &given())));
        match (before, after) {
            ((None, low), (hidden, high)) => {
                prop_assert_eq!(hidden, None);
                prop_assert!(high >= low - 1e-9);
            }
            ((Some(row), low), (Some(after), high)) => {
                prop_assert!(after >= row);
                prop_assert!(after > row || high >= low - 1e-9, "{} {}", low, high);
            }
            (_, (None, _)) => {}
        }
    }

    /// North turns along, so that sun and wind come from where they came on the ground.
    #[test]
    fn a_drawing_turned_with_its_north_has_the_same_findings(
        site in sites(), angle in -360.0..360.0_f64, about in place(), by in place()
    ) {
        let mut turned = turned(&site, angle, about, by);
        turned.north = (site.north - angle).rem_euclid(360.0);
        for lit_at in [given().lit_at, given().lit_at + 25_000] {
            let given = Given { lit_at, ..given() };
            alike(&check(&site, &given), &check(&turned, &given))?;
        }
    }

    #[test]
    fn turned_on_the_ground_only_sun_and_wind_differ(
        site in sites(), angle in -360.0..360.0_f64, about in place(), by in place()
    ) {
        let rest = |site: &Site| {
            let found = check(&Site { wind_from: None, ..site.clone() }, &given());
            found.into_iter().filter(|finding| !is_of_sun_or_wind(finding)).collect::<Vec<_>>()
        };
        alike(&rest(&site), &rest(&turned(&site, angle, about, by)))?;
    }

    /// What is typed in feet and inches is the same after it was kept in meters, to a tenth of a
    /// millimeter, as a drawing keeps it.
    #[test]
    fn whole_inches_stay_whole_inches(
        (x, y) in (0..30_000_u32, 0..30_000_u32), (width, depth) in (1..2_000_u32, 1..2_000_u32), quarters in 0..4_u8
    ) {
        let kept = |inches: u32| (f64::from(inches) / 12.0 * FOOT * 1e4).round() / 1e4;
        let turn = 90.0 * f64::from(quarters);
        let tank = Item { turn, ..spot(1, Kind::Tank, (kept(x), kept(y)), (kept(width), kept(depth))) };
        let inches = |meters: f64| meters / FOOT * 12.0;
        for (meters, typed) in [(tank.at[0].x, x), (tank.at[0].y, y), (tank.width, width), (tank.depth, depth)] {
            let read = inches(meters);
            prop_assert!((read - f64::from(typed)).abs() < 0.003, "{} for {}", read, typed);
        }
        for corner in tank.corners() {
            for half_inches in [2.0 * inches(corner.x), 2.0 * inches(corner.y)] {
                prop_assert!((half_inches - half_inches.round()).abs() < 0.01, "{:?}", corner);
            }
        }
        let ground = tank.outline().unsigned_area() / (INCH * INCH);
        let wanted = f64::from(width) * f64::from(depth);
        prop_assert!((ground - wanted).abs() < 0.003 * f64::from(width + depth), "{} for {}", ground, wanted);
    }

    #[test]
    fn anything_may_be_added(site in sites(), more in item(any_kind())) {
        let before = check(&site, &given());
        let after = check(&Site { items: [site.items.clone(), vec![more]].concat(), ..site }, &given());
        for found in [before, after] {
            prop_assert!(!found.is_empty() && found.is_sorted_by_key(|finding| finding.grade));
            prop_assert!(found.iter().all(|finding| finding.badness >= 0.0), "{:?}", found);
        }
    }

    #[test]
    fn whatever_is_typed_there_is_an_answer((site, given) in extreme_sites(EXTREME)) {
        for finding in check(&site, &given) {
            prop_assert!(!format!("{finding:?}").contains("NaN"), "{:?}", finding);
        }
        for item in &site.items {
            for other in &site.items {
                prop_assert!(item.gap(other) >= 0.0);
            }
            prop_assert!(item.length() >= 0.0 && item.outline().unsigned_area() >= 0.0);
        }
    }

    #[test]
    fn no_number_is_too_large((site, given) in extreme_sites(HUGE)) {
        prop_assert!(check(&site, &given).is_sorted_by_key(|finding| finding.grade));
        for (item, other) in site.items.iter().zip(site.items.iter().skip(1)) {
            prop_assert!(item.gap(other) >= 0.0);
        }
    }
}
