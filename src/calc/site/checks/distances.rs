//! Distances and middles that the checks need.

use crate::calc::site::shape::{Item, Place, Site};
use geo::{BooleanOps, Euclidean, Length, Line, LineString, MultiLineString};

/// What rounding may take away from a distance that is drawn exactly at its limit, m.
const ROUNDING: f64 = 0.001;

/// The shortest way from something to the fronts of the rooms.
pub(super) fn from_fronts(site: &Site, item: &Item) -> f64 {
    let fronts = site.rooms().into_iter().map(|room| item.reaches(&line(room.front())));
    fronts.fold(f64::INFINITY, f64::min)
}

/// Is it nearer than asked, by more than rounding?
pub(super) fn is_nearer(apart: f64, asked: f64) -> bool {
    apart < asked - ROUNDING
}

/// How much of a path is inside some ground, m.
pub(super) fn length_inside(ground: &impl BooleanOps<Scalar = f64>, path: LineString) -> f64 {
    ground.clip(&MultiLineString::new(vec![path]), false).iter().map(|piece| Euclidean.length(piece)).sum()
}

/// A number of things, as a number to reckon with.
pub(super) fn number(count: usize) -> f64 {
    f64::from(u32::try_from(count).unwrap_or(u32::MAX))
}

pub(super) fn line(ends: [Place; 2]) -> Line {
    Line::new(crate::calc::site::shape::coord(ends[0]), crate::calc::site::shape::coord(ends[1]))
}

/// The middle of a room's front.
pub(super) fn front_middle(room: &Item) -> Place {
    let [left, right] = room.front();
    left.halfway(right)
}

/// The middle of all rooms' fronts.
pub(super) fn watched_middle(site: &Site) -> Place {
    let fronts: Vec<Place> = site.rooms().into_iter().map(front_middle).collect();
    let count = number(fronts.len().max(1));
    fronts.iter().fold(Place { x: 0.0, y: 0.0 }, |sum, at| Place { x: sum.x + at.x / count, y: sum.y + at.y / count })
}
