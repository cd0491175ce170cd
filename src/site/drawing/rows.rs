//! The first row that sees too little, drawn across the crowd.

use super::labels::Bounds;
use super::scale::Scale;
use crate::calc::site::{Item, Kind, Site};
use crate::site::snapshot::Hidden;
use geo::{Contains, Point};

/// A row's arc around the front of a room, where it crosses the crowd, and the place of its
/// label.
pub(super) fn row(site: &Site, hidden: &Hidden, scale: Scale) -> Option<(String, Bounds)> {
    let room = site.of(hidden.room).next()?;
    let [left, right] = room.front();
    let middle = left.halfway(right);
    let crowds: Vec<_> = site.of(Kind::Crowd).map(Item::outline).collect();
    let around = (0..360).map(|degree| {
        let (sin, cos) = f64::from(degree).to_radians().sin_cos();
        (middle.x + hidden.distance * sin, middle.y + hidden.distance * cos)
    });
    let inside = |(x, y): &(f64, f64)| crowds.iter().any(|crowd| crowd.contains(&Point::new(*x, *y)));
    let mut all: Vec<(f64, f64)> = around.filter(inside).collect();
    all.sort_by(|one, two| one.0.total_cmp(&two.0));
    let at = all.get(all.len() / 2)?;
    let (x, y) = (scale.of(at.0), scale.of(at.1));
    Some((scale.path(all.iter().copied(), false), Bounds::at(x, y)))
}
