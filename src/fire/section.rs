//! Both rooms in section at one moment.

use super::quantities::{clock, height, temperature, whole};
use super::reading::Read;
use crate::calc::fire::bands::{Bands, PICTURE_STEP, Pictured};
use crate::calc::fire::kelvin;
use crate::web::words::tidy;

/// A room in section at one moment.
#[derive(Debug)]
pub(super) struct Section {
    pub letter: &'static str,
    /// The room's width and height, and where its lower left corner is.
    pub width: f64,
    pub height: f64,
    /// The layer: down to here.
    pub edge: f64,
    /// From where to where the clear panel is; none without one.
    pub panel: Option<(f64, f64)>,
    pub flame: f64,
    /// A person of 5 ft 9 in.
    pub person: f64,
    pub has_water: bool,
    pub temperature: String,
    pub layer: String,
    pub says: String,
}

/// Pixels for a meter.
const SCALE: f64 = 58.0;

/// Layers in measured rooms hung lower than the model's, down to this part of its height.
const LOW: f64 = 0.65;

const PERSON: f64 = 1.75;

/// The moments that links lead to, s.
pub(super) const MOMENTS: [f64; 7] = [15.0, 30.0, 60.0, 90.0, 120.0, 180.0, 240.0];

pub(super) fn sections(read: &Read, bands: &Bands, at: f64) -> [Section; 2] {
    let room = &read.inputs.room;
    [0, 1].map(|place| {
        let picture = &bands.pictures[place];
        let index = whole(at / PICTURE_STEP).min(picture.len().saturating_sub(1));
        let now =
            picture.get(index).copied().unwrap_or(Pictured { time: 0.0, layer: [room.ambient; 3], edge: room.height });
        let is_warm = picture.first().is_some_and(|first| now.layer[1] > first.layer[1] + 5.0);
        let edge = if is_warm { now.edge * LOW } else { room.height };
        let has_water = place == 1 && bands.sprinkler.median().is_some_and(|time| at >= time);
        let letter = if place == 0 { "A" } else { "B" };
        let [low, middle, high] = now.layer.map(temperature);
        let layer =
            if is_warm { format!("hot layer down to about {}", height(edge)) } else { "no hot layer yet".to_owned() };
        let water = if has_water { ", sprinkler open" } else { "" };
        Section {
            letter,
            width: tidy(room.length.min(4.0) * SCALE),
            height: tidy(room.height * SCALE),
            edge: tidy((room.height - edge) * SCALE),
            panel: (read.front.soffit > room.opening.soffit).then(|| {
                let down = |height: f64| tidy((room.height - height) * SCALE);
                (down(read.front.soffit), down(room.opening.soffit))
            }),
            flame: tidy((flame_part(now.layer[1]) * room.height * 0.7).max(0.25) * SCALE),
            person: tidy(PERSON * SCALE),
            has_water,
            says: format!(
                "Room {letter} at {}: {layer}, {middle}; eight in ten between {low} and {high}{water}",
                clock(at)
            ),
            temperature: middle,
            layer,
        }
    })
}

/// How far a flame is drawn up, from 0 to 1, for a layer's temperature.
fn flame_part(kelvin: f64) -> f64 {
    ((kelvin - self::kelvin(20.0)) / 600.0).clamp(0.1, 1.0)
}
