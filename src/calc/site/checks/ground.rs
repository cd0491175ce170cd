//! What burns or bursts nearby, room A's heat on room B, and ways that must stay open.

use super::distances::{from_fronts, front_middle, is_nearer, length_inside, number};
use super::weather::is_downwind;
use super::{Finding, Given, Grade, Heat, What};
use crate::calc::fire::radiation::point_source;
use crate::calc::site::FOOT;
use crate::calc::site::shape::{Item, Kind, Shape, Site, coord};
use geo::{Area, BooleanOps, Distance, Euclidean, Intersects, Line, Point};

/// What a drawing needs before it says anything useful.
const NEEDED: [Kind; 11] = [
    Kind::RoomA,
    Kind::RoomB,
    Kind::Crowd,
    Kind::Press,
    Kind::Gate,
    Kind::Wheelchair,
    Kind::LostChild,
    Kind::Engine,
    Kind::Command,
    Kind::Ambulance,
    Kind::FireLane,
];
/// Embers are looked out for this far downwind: common practice, no source.
const EMBERS: f64 = 60.0;
/// An overhead line nearer than this is in the flame or its smoke: common practice, no source.
const OVERHEAD: f64 = 15.0;
/// Curtains and paper may catch fire at this much, kW/m². Wood with a spark near it needs
/// about 12.5: common practice, no source for curtains.
const SCORCHES: f64 = 10.0;
/// A fire lane's clear width: 20 ft by the International Fire Code, 503.2.1, from memory.
const LANE: f64 = 20.0 * FOOT;

pub(super) fn missing(site: &Site) -> Vec<Finding> {
    let missing: Vec<Kind> = NEEDED.into_iter().filter(|kind| site.of(*kind).next().is_none()).collect();
    let has_water = [Kind::Hydrant, Kind::Tank].into_iter().any(|kind| site.of(kind).next().is_some());
    let missing: Vec<Kind> = missing.into_iter().chain((!has_water).then_some(Kind::Hydrant)).collect();
    let badness = number(missing.len());
    if missing.is_empty() {
        return Vec::new();
    }
    vec![Finding::new(What::Missing(missing), Grade::Look, Vec::new(), badness)]
}

pub(super) fn findings(site: &Site, given: &Given) -> Vec<Finding> {
    let mut all = fuels(site, given);
    all.extend(overhead(site));
    all.extend(on_room_b(site, given));
    all.extend(lanes(site));
    all.extend(escort(site, given));
    all.extend(hoses(site, given));
    all
}

/// What is near the fire besides people, and how far it must be.
fn fuels(site: &Site, given: &Given) -> Vec<Finding> {
    let melts = given.heat.map(|heat| heat.things);
    let all = site.items.iter().filter_map(|item| match item.kind {
        // Cars are parked there, too.
        Kind::Gas | Kind::Vehicle | Kind::DryGrass | Kind::Parking => {
            fuel(site, item, melts.unwrap_or(site.crowd_line), is_downwind(site, item))
        }
        // Siding melts. Who lives there is told of the smoke anyway.
        Kind::Neighbor | Kind::School => fuel(site, item, melts?, false),
        _ => None,
    });
    all.collect()
}

fn fuel(site: &Site, item: &Item, asked: f64, is_downwind: bool) -> Option<Finding> {
    let apart = from_fronts(site, item);
    let grade = if apart < asked {
        Grade::Wrong
    } else if is_downwind && apart < EMBERS {
        Grade::Look
    } else {
        return None;
    };
    let embers = if is_downwind { EMBERS } else { 0.0 };
    // In the heat it is worse than under the embers alone.
    let badness = (asked - apart).max(0.0) + (embers - apart).max(0.0);
    let what = What::Fuel { kind: item.kind, apart, asked, is_downwind };
    Some(Finding::new(what, grade, vec![item.id], badness))
}

fn overhead(site: &Site) -> Vec<Finding> {
    let near = site.of(Kind::Overhead).filter_map(|item| {
        let rooms = site.rooms().into_iter().map(|room| item.reaches(&room.outline()));
        let apart = rooms.fold(f64::INFINITY, f64::min);
        let what = What::Overhead { apart };
        let grade = if is_nearer(apart, OVERHEAD) { Grade::Wrong } else { Grade::Good };
        apart.is_finite().then(|| Finding::new(what, grade, vec![item.id], (OVERHEAD - apart).max(0.0)))
    });
    near.collect()
}

/// The flame in front of a room A as a point, against the nearest part of a room B: the worst
/// of them.
fn on_room_b(site: &Site, given: &Given) -> Option<Finding> {
    let heat = given.heat.filter(|_| !given.both_at_once)?;
    let pairs = site.of(Kind::RoomA).flat_map(|a| site.of(Kind::RoomB).map(move |b| (a, b)));
    let all = pairs.map(|(a, b)| heat_on(site, heat, a, b));
    all.min_by(|one, two| one.grade.cmp(&two.grade).then(two.badness.total_cmp(&one.badness)))
}

fn heat_on(site: &Site, heat: Heat, a: &Item, b: &Item) -> Finding {
    let flame = coord(front_middle(a));
    let apart = Euclidean.distance(&b.outline(), &Point::from(flame)).max(0.1);
    let flux = point_source(heat.flame, heat.radiated, apart);
    // A shield that leaves a corner open lets the flame reach what hangs there.
    let is_shielded = b.corners().into_iter().chain([b.middle()]).all(|place| {
        let way = Line::new(flame, coord(place));
        site.of(Kind::Shield).any(|shield| shield.outline().intersects(&way))
    });
    let grade = match (flux, is_shielded) {
        (SCORCHES.., false) => Grade::Wrong,
        (SCORCHES.., true) => Grade::Look,
        _ if flux >= SCORCHES / 2.0 && !is_shielded => Grade::Look,
        _ => Grade::Good,
    };
    // The same heat is worse without a shield.
    let badness = if is_shielded { flux } else { 2.0 * flux };
    Finding::new(What::OnRoomB { flux, apart, is_shielded }, grade, vec![a.id, b.id], badness)
}

fn lanes(site: &Site) -> Vec<Finding> {
    site.of(Kind::FireLane).map(|lane| open_lane(site, lane)).collect()
}

fn open_lane(site: &Site, lane: &Item) -> Finding {
    let width = if lane.length() > 0.0 { lane.width } else { 0.0 };
    // Without a width, what stands in the width that it needs is in its way.
    let outline = if width > 0.0 { lane.outline() } else { Item { width: LANE, ..lane.clone() }.outline() };
    let stands = |kind: Kind| {
        kind.shape() != Shape::Line && !matches!(kind, Kind::Engine | Kind::Ambulance | Kind::Hydrant | Kind::Gate)
    };
    let in_it = site.items.iter().filter(|item| stands(item.kind) && item.outline().intersects(&outline));
    let in_it: Vec<&Item> = in_it.collect();
    let taken: f64 = in_it.iter().map(|item| item.outline().intersection(&outline).unsigned_area()).sum();
    let mut items: Vec<u32> = in_it.iter().map(|item| item.id).collect();
    let blocked = !items.is_empty();
    let grade = match (blocked, is_nearer(width, LANE)) {
        (true, _) => Grade::Wrong,
        (false, true) => Grade::Look,
        (false, false) => Grade::Good,
    };
    let badness = number(items.len()) + taken + (LANE - width).max(0.0);
    items.insert(0, lane.id);
    Finding::new(What::Lane { blocked, width }, grade, items, badness)
}

fn escort(site: &Site, given: &Given) -> Vec<Finding> {
    let Some(heat) = given.heat else { return Vec::new() };
    let paths = site.of(Kind::Escort).map(|path| (path, from_fronts(site, path)));
    let findings = paths.filter(|(_, nearest)| nearest.is_finite()).map(|(path, nearest)| {
        let grade = if is_nearer(nearest, heat.press) { Grade::Wrong } else { Grade::Good };
        let what = What::Escort { nearest, asked: heat.press };
        Finding::new(what, grade, vec![path.id], (heat.press - nearest).max(0.0))
    });
    findings.collect()
}

fn hoses(site: &Site, given: &Given) -> Vec<Finding> {
    let mut all = Vec::new();
    for hose in site.of(Kind::Hose) {
        let drawn = hose.length();
        if let Some(length) = given.hose.filter(|length| is_nearer(*length, drawn)) {
            let what = What::HoseShort { drawn, hose: length };
            all.push(Finding::new(what, Grade::Wrong, vec![hose.id], drawn - length));
        }
        all.extend(in_crowd(site, hose));
    }
    all
}

/// A hose where the public stands or walks.
fn in_crowd(site: &Site, hose: &Item) -> Option<Finding> {
    let path = hose.path();
    let public = site.items.iter().filter(|item| item.kind.is_public() || item.kind == Kind::Press);
    let crossed: Vec<&Item> = public.filter(|item| item.outline().intersects(&path)).collect();
    let inside = crossed.iter().map(|item| length_inside(&item.outline(), path.clone())).sum();
    let items: Vec<u32> = [hose.id].into_iter().chain(crossed.iter().map(|item| item.id)).collect();
    (!crossed.is_empty()).then(|| Finding::new(What::HoseInCrowd, Grade::Wrong, items, inside))
}
