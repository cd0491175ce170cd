//! A drawing at a scale, on a sheet of paper.

use crate::calc::site::{FOOT, INCH};

/// The scales a sheet may have: so many feet on an inch of paper.
const SCALES: [u32; 11] = [5, 10, 20, 30, 40, 50, 60, 100, 200, 400, 600];

/// What a drawing may take up on a letter-size sheet on its side, and upright, in inches.
const SIDEWAYS: (f64, f64) = (9.9, 5.6);

const UPRIGHT: (f64, f64) = (7.4, 7.6);

/// A drawing at a scale: width and height in inches, which way the sheet is held, and what the
/// scale says.
pub(super) struct Scaled {
    pub width: f64,
    pub height: f64,
    pub is_upright: bool,
    pub says: String,
}

impl Scaled {
    pub fn of((width, height): (f64, f64)) -> Self {
        let fits = |feet: u32, sheet: (f64, f64)| {
            width / FOOT / f64::from(feet) <= sheet.0 && height / FOOT / f64::from(feet) <= sheet.1
        };
        let least = |sheet| SCALES.into_iter().find(|feet| fits(*feet, sheet)).unwrap_or(1_000);
        let (sideways, upright) = (least(SIDEWAYS), least(UPRIGHT));
        let (feet, is_upright) = (sideways.min(upright), upright < sideways);
        let inches = |meters: f64| (meters / FOOT / f64::from(feet) * 1_000.0).round() / 1_000.0;
        let ratio = f64::from(feet) * FOOT / INCH;
        let says = format!("1 in on paper is {feet} ft (1:{ratio:.0})");
        Self { width: inches(width), height: inches(height), is_upright, says }
    }
}
