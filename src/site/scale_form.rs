//! Two points on the photo from above, and how far apart they are.

use super::drawn::FARTHEST;
use super::plan::Photo;
use super::typed;
use crate::calc::site::FOOT;
use crate::web::form::Mistakes;
use serde::Deserialize;

/// Two points on the photo, in percent from its left and its top, and how far apart they are.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub(super) struct ScaleForm {
    pub x1: String,
    pub y1: String,
    pub x2: String,
    pub y2: String,
    pub length: String,
    /// The photo that was shown.
    pub photo: i64,
}

impl ScaleForm {
    /// Meters in a pixel.
    pub fn read(&self, photo: &Photo) -> Result<f64, Mistakes> {
        let mut wrong = Mistakes::default();
        let mut part = |field, text: &str, pixels: u32| {
            let percent = wrong.note(field, typed::number(text, 0.0, 100.0)).unwrap_or_default();
            percent / 100.0 * f64::from(pixels)
        };
        let (x1, y1) = (part("x1", &self.x1, photo.width), part("y1", &self.y1, photo.height));
        let (x2, y2) = (part("x2", &self.x2, photo.width), part("y2", &self.y2, photo.height));
        let length = wrong.note("length", typed::length(&self.length, 5.0, 2_600.0)).unwrap_or_default();
        let pixels = (x1 - x2).hypot(y1 - y2);
        let apart = f64::from(photo.width.max(photo.height)) * 0.02;
        if wrong.is_empty() && pixels < apart {
            wrong.add("x2", "The two points are too close together. Choose two that are far apart.");
        }
        let meters = length / pixels;
        let across = f64::from(photo.width.max(photo.height)) * meters;
        if wrong.is_empty() && !(10.0..=FARTHEST).contains(&across) {
            let most = FARTHEST / FOOT;
            wrong.add(
                "length",
                format!("The photo would be {:.0} ft across. It can be 33 ft to {most:.0} ft.", across / FOOT),
            );
        }
        if wrong.is_empty() { Ok(meters) } else { Err(wrong) }
    }
}
