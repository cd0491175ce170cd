//! The public's line, who is inside it, how many people fit, and how they get out.

use super::distances::{from_fronts, front_middle, is_nearer, length_inside};
use super::{Finding, Given, Grade, What};
use crate::calc::site::shape::{Item, Kind, Place, Site, are_near, coord};
use crate::calc::site::{INCH, crowd, sight};
use geo::{Area, BooleanOps, Intersects, LineString, MultiPolygon, Polygon};

/// Seated in a wheelchair, the eyes are this high: common practice, no source.
const SEATED_EYE: f64 = 1.15;
/// A standing adult's height: common practice, no source.
const STANDING: f64 = 1.75;
/// People fill a place to this share before it is tight: common practice, no source.
const FULL: f64 = 0.9;

pub(super) fn findings(site: &Site, given: &Given) -> Vec<Finding> {
    let mut all = vec![drawn_line(site, given), inside(site)];
    all.extend(capacity(site, given));
    all.extend(ways_out(site, given));
    all.extend(wheelchair(site, given));
    all.extend(restrooms(site, given));
    all.extend(parking(site, given));
    all
}

fn drawn_line(site: &Site, given: &Given) -> Finding {
    let Some(heat) = given.heat else { return Finding::new(What::NoHeat, Grade::Unknown, Vec::new(), 0.0) };
    let drawn = site.crowd_line;
    let short = |asked: f64| (asked - drawn).max(0.0);
    let (asked, is_wind, grade) = if is_nearer(drawn, heat.public) {
        (heat.public, false, Grade::Wrong)
    } else if is_nearer(drawn, heat.public_with_wind) {
        (heat.public_with_wind, true, Grade::Look)
    } else {
        (heat.public, false, Grade::Good)
    };
    // Too near even without wind is worse than too near with it, by however little.
    let badness = short(heat.public) + short(heat.public_with_wind);
    Finding::new(What::Line { drawn, asked, is_wind }, grade, Vec::new(), badness)
}

fn inside(site: &Site) -> Finding {
    // Visitors walk to and from their cars.
    let is_kept_out = |kind: Kind| kind.is_public() || matches!(kind, Kind::Press | Kind::Parking);
    let public = site.items.iter().filter(|item| is_kept_out(item.kind));
    let near = public.map(|item| (item.id, from_fronts(site, item)));
    let near: Vec<(u32, f64)> = near.filter(|(_, apart)| is_nearer(*apart, site.crowd_line)).collect();
    let nearest = near.iter().map(|(_, apart)| *apart).reduce(f64::min);
    let what = What::Inside { nearest, line: site.crowd_line };
    let grade = if nearest.is_some() { Grade::Wrong } else { Grade::Good };
    let badness = near.iter().map(|(_, apart)| site.crowd_line - apart).sum();
    Finding::new(what, grade, near.into_iter().map(|(id, _)| id).collect(), badness)
}

fn capacity(site: &Site, given: &Given) -> Option<Finding> {
    let areas: Vec<_> = site.of(Kind::Crowd).collect();
    if areas.is_empty() {
        return None;
    }
    let area = ground(&areas);
    let fit = crowd::fits(area, site.aisles, site.density);
    let grade = if given.people > fit {
        Grade::Wrong
    } else if f64::from(given.people) > FULL * f64::from(fit) {
        Grade::Look
    } else {
        Grade::Good
    };
    let ids = areas.iter().map(|item| item.id).collect();
    let badness = f64::from(given.people) - f64::from(fit);
    Some(Finding::new(What::Capacity { fit, people: given.people, area }, grade, ids, badness.max(0.0)))
}

/// The ground that areas cover. What two of them share counts once.
fn ground(areas: &[&Item]) -> f64 {
    let outlines: Vec<Polygon> = areas.iter().map(|item| item.outline()).collect();
    let share = |at: usize, one: &Polygon| outlines[at + 1..].iter().any(|two| one.intersects(two));
    if outlines.iter().enumerate().any(|(at, one)| share(at, one)) {
        let none = MultiPolygon::new(Vec::new());
        return outlines.iter().fold(none, |all, one| all.union(one)).unsigned_area();
    }
    outlines.iter().map(Area::unsigned_area).sum()
}

/// Ways out for so many people: NFPA 101, 7.4.1.2, written for buildings, from memory.
fn gates_asked(people: u32) -> u32 {
    match people {
        0..=500 => 2,
        501..=1000 => 3,
        _ => 4,
    }
}

fn ways_out(site: &Site, given: &Given) -> Vec<Finding> {
    let gates: Vec<_> = site.of(Kind::Gate).collect();
    let ids: Vec<u32> = gates.iter().map(|gate| gate.id).collect();
    let count = u32::try_from(gates.len()).unwrap_or(u32::MAX);
    let width: f64 = gates.iter().map(|gate| gate.width.max(0.0)).sum();
    let needed = crowd::exit_width(given.people, site.exit_inches * INCH);
    let asked = gates_asked(given.people);
    let grade = if count < 2 || is_nearer(width, needed) {
        Grade::Wrong
    } else if count < asked {
        Grade::Look
    } else {
        Grade::Good
    };
    let badness = (needed - width).max(0.0) + f64::from(asked.saturating_sub(count));
    let mut all = vec![Finding::new(What::WaysOut { count, width, needed }, grade, ids.clone(), badness)];
    if let Some(apart) = farthest(&gates.iter().map(|gate| gate.middle()).collect::<Vec<_>>())
        && let Some(diagonal) = farthest(&site.of(Kind::Crowd).flat_map(Item::edge).collect::<Vec<_>>())
    {
        let half = diagonal / 2.0;
        let grade = if is_nearer(apart, half) { Grade::Look } else { Grade::Good };
        all.push(Finding::new(What::WaysApart { apart, half }, grade, ids, (half - apart).max(0.0)));
    }
    all
}

fn farthest(places: &[Place]) -> Option<f64> {
    let pairs = places.iter().enumerate().flat_map(|(at, one)| places[at + 1..].iter().map(|two| one.distance(*two)));
    pairs.reduce(f64::max)
}

/// How many there are in all of them.
fn counted(items: &[&Item]) -> u32 {
    items.iter().fold(0, |sum, item| sum.saturating_add(item.count))
}

fn wheelchair(site: &Site, given: &Given) -> Vec<Finding> {
    let spaces: Vec<_> = site.of(Kind::Wheelchair).collect();
    let have = counted(&spaces);
    let asked = crowd::wheelchair_spaces(given.people);
    let grade = if have < asked { Grade::Wrong } else { Grade::Good };
    let ids = spaces.iter().map(|item| item.id).collect();
    let short = f64::from(asked.saturating_sub(have));
    let mut all = vec![Finding::new(What::Wheelchair { have, asked }, grade, ids, short)];
    // Somebody in a wheelchair sees over a standing row only from a platform.
    let hidden: Vec<_> =
        spaces.iter().filter(|item| item.height < STANDING - SEATED_EYE && is_behind(site, item)).collect();
    if !hidden.is_empty() {
        let ids = hidden.iter().map(|item| item.id).collect();
        let height = STANDING - SEATED_EYE;
        let badness = hidden.iter().map(|item| height - item.height).fold(0.0, f64::max);
        all.push(Finding::new(What::WheelchairView { height }, Grade::Wrong, ids, badness));
    }
    all
}

/// Does at least a row of the crowd stand between this and a room?
fn is_behind(site: &Site, item: &Item) -> bool {
    let (eye, own) = (coord(item.middle()), item.outline());
    let row = site.row.max(sight::SHORTEST);
    site.rooms().into_iter().any(|room| {
        let front = front_middle(room);
        let view: LineString = vec![eye, coord(front)].into();
        are_near(&[item.middle(), front])
            && site.of(Kind::Crowd).any(|crowd| {
                // Nobody else stands on the spaces themselves.
                length_inside(&crowd.outline().difference(&own), view.clone()) >= row
            })
    })
}

fn restrooms(site: &Site, given: &Given) -> Option<Finding> {
    let all: Vec<_> = site.of(Kind::Toilets).collect();
    let have = counted(&all);
    let asked = crowd::toilets(given.people, site.people_per_toilet);
    if all.is_empty() && asked == 0 {
        return None;
    }
    let grade = if have < asked { Grade::Look } else { Grade::Good };
    let accessible = crowd::accessible_toilets(have.max(asked));
    let short = f64::from(asked.saturating_sub(have));
    Some(Finding::new(What::Restrooms { have, asked, accessible }, grade, all.iter().map(|it| it.id).collect(), short))
}

fn parking(site: &Site, given: &Given) -> Option<Finding> {
    let all: Vec<_> = site.of(Kind::Parking).collect();
    if all.is_empty() {
        return None;
    }
    let fit = crowd::cars_that_fit(ground(&all));
    let cars = crowd::cars(given.people, site.people_per_car);
    let grade = if fit < cars { Grade::Look } else { Grade::Good };
    let accessible = crowd::accessible_stalls(cars);
    let short = f64::from(cars.saturating_sub(fit));
    Some(Finding::new(What::Parking { fit, cars, accessible }, grade, all.iter().map(|it| it.id).collect(), short))
}
