//! From meters to the units of the drawing.

use crate::calc::site::{FOOT, Site};
use crate::site::typed::distance;
use crate::web::words::tidy;
use geo::buffer::{BufferStyle, LineCap};
use geo::{Buffer, LineString, MultiLineString};
use std::fmt::Write;

/// The drawing is this wide, in its own units.
pub(super) const WIDTH: f64 = 800.0;

/// The angle of a piece of an arc, in radians.
const ARC: f64 = 0.05;

/// Meters in one unit.
#[derive(Debug, Clone, Copy)]
pub(super) struct Scale(pub f64);

impl Scale {
    pub fn of(self, meters: f64) -> f64 {
        tidy(meters / self.0)
    }

    pub fn path(self, places: impl IntoIterator<Item = (f64, f64)>, is_closed: bool) -> String {
        let mut path = String::new();
        for (number, (x, y)) in places.into_iter().enumerate() {
            let verb = if number == 0 { 'M' } else { 'L' };
            let _ = write!(path, "{verb}{} {}", self.of(x), self.of(y));
        }
        if is_closed {
            path.push('Z');
        }
        path
    }

    /// Everything this far from the rooms' fronts.
    pub fn around(self, site: &Site, meters: f64) -> String {
        let fronts = site.rooms().into_iter().map(|room| {
            let [left, right] = room.front();
            LineString::from(vec![(left.x, left.y), (right.x, right.y)])
        });
        let around = MultiLineString::new(fronts.collect())
            .buffer_with_style(BufferStyle::new(meters).line_cap(LineCap::Round(ARC)));
        let rings = around.iter().map(|ring| self.path(ring.exterior().coords().map(|at| (at.x, at.y)), true));
        rings.collect()
    }

    /// A round length that takes up about an eighth of the drawing, and what it says.
    pub fn bar(self) -> (f64, String) {
        let wanted = self.0 * WIDTH / 8.0 / FOOT;
        let feet = [5.0, 10.0, 20.0, 30.0, 50.0, 100.0, 200.0, 300.0].into_iter().rfind(|feet| *feet <= wanted);
        let feet = feet.unwrap_or(5.0);
        (self.of(feet * FOOT), distance(feet * FOOT))
    }
}
