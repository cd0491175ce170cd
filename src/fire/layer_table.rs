//! The picture as a table.

use super::quantities::whole;
use crate::calc::fire::FREEZING;
use crate::calc::fire::bands::{Bands, PICTURE_STEP};
use crate::web::words::grouped;

/// The picture as a table: at each of the moments, the layer in both rooms.
#[derive(Debug)]
pub(super) struct Row {
    pub at: String,
    pub rooms: [String; 2],
}

pub(super) fn table(bands: &Bands) -> Vec<Row> {
    let step = if bands.until > 900.0 { 120 } else { 60 };
    let last = whole(bands.until);
    let row = |seconds: usize| {
        let index = seconds * 2 / whole(2.0 * PICTURE_STEP);
        let one = |place: usize| {
            bands.pictures[place]
                .get(index)
                .map_or_else(String::new, |now| format!("{} to {}", degrees(now.layer[0]), degrees(now.layer[2])))
        };
        Row { at: format!("{}:{:02}", seconds / 60, seconds % 60), rooms: [one(0), one(1)] }
    };
    (1..=last / step).map(|number| row(number * step)).collect()
}

fn degrees(kelvin: f64) -> String {
    let celsius = kelvin - FREEZING;
    format!("{} °C / {} °F", grouped(whole(celsius / 10.0) * 10), grouped(whole((celsius * 1.8 + 32.0) / 10.0) * 10))
}
