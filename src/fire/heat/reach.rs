//! The distances that a drawing of the site is checked against.

use super::distances::{OTHERS, WIND, most, public};
use super::glow::Glow;
use crate::calc::fire::FOOT;
use crate::fire::reading::Read;

/// How far the pinned estimate keeps everyone from the rooms' fronts, in meters, and what the
/// flame gives off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reach {
    /// The public, by the largest rule, and with wind toward people.
    pub public: f64,
    pub public_with_wind: f64,
    /// Press with an escort.
    pub press: f64,
    /// Things that melt.
    pub things: f64,
    /// The flame of more than 19 in 20 fires, kW, in one room.
    pub flame: f64,
    /// An attack line's length.
    pub hose: f64,
}

impl Reach {
    pub(in crate::fire) fn of(read: &Read, glow: &Glow) -> Self {
        let public = most(&public(read, glow));
        let [(.., press, _), _, (.., things, _)] = OTHERS;
        Self {
            public,
            public_with_wind: (WIND * glow.reaches(read.heat.flux)).max(public),
            press: glow.reaches(press),
            things: glow.reaches(things),
            flame: glow.peak,
            hose: read.water.hose_feet * FOOT,
        }
    }
}
