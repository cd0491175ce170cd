//! The heat in front of the rooms.

use crate::calc::fire::bands::Bands;
use crate::calc::fire::kelvin;
use crate::calc::fire::radiation::{RADIATED, distance_to, glowing_opening, point_source};
use crate::events::Format;
use crate::fire::reading::Read;

/// The front after flashover, °C.
const GLOWS: f64 = 900.0;

/// The heat in front of the rooms at a distance in meters, kW/m².
pub(in crate::fire) struct Glow {
    front: (f64, f64),
    pub(super) peak: f64,
    pub(super) rooms: f64,
}

impl Glow {
    pub fn of(read: &Read, bands: &Bands, format: Format) -> Self {
        let front = read.front;
        Self {
            front: (front.width, front.height()),
            peak: bands.peak.at[4].unwrap_or_default(),
            rooms: if format == Format::BothAtOnce { 2.0 } else { 1.0 },
        }
    }

    fn front_at(&self, meters: f64) -> f64 {
        self.rooms * glowing_opening(kelvin(GLOWS), 1.0, self.front, meters)
    }

    fn flame_at(&self, meters: f64) -> f64 {
        self.rooms * point_source(self.peak, RADIATED, meters)
    }

    /// Where front and flame together come to this much, m.
    pub(super) fn reaches(&self, flux: f64) -> f64 {
        distance_to(flux, |meters| self.front_at(meters) + self.flame_at(meters)).unwrap_or(f64::INFINITY)
    }
}
