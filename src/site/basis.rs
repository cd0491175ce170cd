//! What the checks of a site rest on, as it is typed.

use super::typed;
use crate::calc::site::sight::Posture;
use crate::calc::site::{FOOT, Site};
use crate::named::named;
use crate::web::form::{self, Mistakes};
use serde::{Deserialize, Serialize};

named! {
    /// How the crowd watches.
    Watches, "Choose how the crowd watches.", WATCHES: [
        Standing = "standing",
        Seated = "seated",
    ]
}

macro_rules! basis {
    ($($(#[$about:meta])* $field:ident: $label:literal = $usual:literal,)+) => {
        /// What the checks rest on. Texts as they were typed.
        #[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
        #[serde(default)]
        pub struct Basis { $($(#[$about])* pub $field: String,)+ }

        impl Default for Basis {
            fn default() -> Self {
                Self { $($field: $usual.to_owned(),)+ }
            }
        }

        /// The name, the label, and the text of each.
        pub(super) const FIELDS: [(&str, &str, fn(&Basis) -> &String); [$($label),+].len()] =
            [$((stringify!($field), $label, |basis| &basis.$field)),+];
    };
}

basis! {
    crowd_line: "The public's line, from the room fronts" = "75 ft",
    wind_from: "Wind from" = "",
    wind_speed: "Wind speed, mph" = "",
    north: "Compass direction at the top of the drawing" = "0",
    square_feet: "Square feet per person" = "11",
    aisles: "Aisle space, percent" = "20",
    watches: "The crowd watches" = "standing",
    row: "From one row to the next" = "3 ft 3 in",
    rise: "Ground slope, inches per 10 ft" = "0",
    watched: "Lowest point everyone must see, above the room floor" = "3 ft",
    murmur: "Crowd noise, dBA" = "65",
    receivers: "Assistive listening receivers" = "0",
    exit_inches: "Width of exits, inches per person" = "0.2",
    per_toilet: "People per restroom" = "100",
    per_car: "People per car" = "2.5",
    minutes: "Minutes from ignition in room A to the end of overhaul" = "90",
}

impl Basis {
    /// The site without anything on it.
    ///
    /// # Errors
    /// What can't be used, by field.
    pub fn read(&self) -> Result<Site, Mistakes> {
        let mut wrong = Mistakes::default();
        let number = |wrong: &mut Mistakes, field, text: &str, least, most| {
            wrong.note(field, typed::number(text, least, most)).unwrap_or_default()
        };
        let wind_from = match self.wind_from.trim() {
            "" => None,
            text => wrong.note("wind_from", typed::bearing(text)),
        };
        if !self.wind_speed.trim().is_empty() {
            wrong.note("wind_speed", typed::number(&self.wind_speed, 0.0, 80.0));
        }
        let site = Site {
            items: Vec::new(),
            north: wrong.note("north", typed::bearing(&self.north)).unwrap_or_default(),
            wind_from,
            crowd_line: wrong.note("crowd_line", typed::length(&self.crowd_line, 1.0, 2_000.0)).unwrap_or_default(),
            density: 1.0 / (number(&mut wrong, "square_feet", &self.square_feet, 3.0, 100.0).max(3.0) * FOOT * FOOT),
            aisles: number(&mut wrong, "aisles", &self.aisles, 0.0, 80.0) / 100.0,
            posture: match wrong.note("watches", self.watches.parse()) {
                Some(Watches::Seated) => Posture::Seated,
                _ => Posture::Standing,
            },
            row: wrong.note("row", typed::length(&self.row, 1.0, 12.0)).unwrap_or_default(),
            rise: number(&mut wrong, "rise", &self.rise, -40.0, 80.0) / 120.0,
            watched: wrong.note("watched", typed::length(&self.watched, 0.0, 20.0)).unwrap_or_default(),
            murmur: number(&mut wrong, "murmur", &self.murmur, 30.0, 100.0),
            exit_inches: number(&mut wrong, "exit_inches", &self.exit_inches, 0.05, 2.0),
            people_per_toilet: wrong.note("per_toilet", form::number(&self.per_toilet, 1, 10_000)).unwrap_or_default(),
            people_per_car: number(&mut wrong, "per_car", &self.per_car, 1.0, 60.0),
            receivers: wrong.note("receivers", form::number(&self.receivers, 0, 10_000)).unwrap_or_default(),
            minutes: wrong.note("minutes", form::number(&self.minutes, 5, 720)).unwrap_or_default(),
        };
        if wrong.is_empty() { Ok(site) } else { Err(wrong) }
    }
}
