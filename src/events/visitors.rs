//! What visitors and helpers need to know besides the hour and the site: the street
//! address, where that is on a map, where to park, and what to wear. And what a live burn
//! is.

use crate::web::form;
use std::fmt;

/// What a live burn is, for someone who has never seen one.
pub const LIVE_BURN: &str = "Two matched rooms burn, one with a sprinkler and one without, so people can see how fast \
                             fire grows and what a sprinkler does.";

/// The labels of the lines.
pub const ADDRESS: &str = "Address";
pub const MAP: &str = "Map";
pub const PARKING: &str = "Parking";
pub const WEAR: &str = "Wear";

/// What visitors and helpers are told. Each may be empty.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct VisitorFacts {
    /// The street address, in lines.
    pub address: String,
    pub place: Option<Coordinates>,
    pub parking: String,
    pub clothing: String,
}

/// A place on a map, in degrees (WGS 84).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Coordinates {
    latitude: f64,
    longitude: f64,
}

impl Coordinates {
    /// None if there is no such place.
    #[must_use]
    pub fn new(latitude: f64, longitude: f64) -> Option<Self> {
        let is_place = (-90.0..=90.0).contains(&latitude) && (-180.0..=180.0).contains(&longitude);
        is_place.then_some(Self { latitude, longitude })
    }

    /// Reads what a map shows or copies: "41.59, -93.62", "(41.5912, -93.6204)".
    ///
    /// # Errors
    /// What to tell the person who typed it.
    pub fn read(text: &str) -> Result<Self, String> {
        let typed = text.trim().trim_start_matches('(').trim_end_matches(')');
        let parts: Vec<&str> =
            typed.split(|c: char| c == ',' || c.is_whitespace()).filter(|part| !part.is_empty()).collect();
        // Not "inf" or "1e3", which count as numbers, too.
        let degrees = |part: &str| {
            let is_plain = part.chars().all(|c| c.is_ascii_digit() || "+-.".contains(c));
            part.parse::<f64>().ok().filter(|_| is_plain).map(rounded)
        };
        let place = match parts.as_slice() {
            [latitude, longitude] => degrees(latitude).zip(degrees(longitude)),
            _ => None,
        };
        let (latitude, longitude) = place.ok_or("Enter latitude, then longitude, like 41.59, -93.62.")?;
        let place = Self::new(latitude, longitude);
        place.ok_or_else(|| "Latitude is from -90 to 90, and longitude from -180 to 180.".to_owned())
    }

    #[must_use]
    pub fn latitude(self) -> f64 {
        self.latitude
    }

    #[must_use]
    pub fn longitude(self) -> f64 {
        self.longitude
    }

    /// A link that opens a map (RFC 5870).
    #[must_use]
    pub fn geo_uri(self) -> String {
        format!("geo:{},{}", self.latitude, self.longitude)
    }

    /// The value in a calendar entry (RFC 5545 section 3.8.1.6), to about 4 inches (0.1 m).
    #[must_use]
    pub fn geo_value(self) -> String {
        format!("{:.6};{:.6}", self.latitude, self.longitude)
    }
}

/// To six decimals, as calendars have it.
fn rounded(degrees: f64) -> f64 {
    (degrees * 1e6).round() / 1e6
}

impl fmt::Display for Coordinates {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}, {}", self.latitude, self.longitude)
    }
}

impl VisitorFacts {
    /// The address on one line.
    #[must_use]
    pub fn address_line(&self) -> String {
        let lines = self.address.lines().map(|line| line.trim().trim_end_matches(','));
        lines.filter(|line| !line.is_empty()).collect::<Vec<_>>().join(", ")
    }

    /// A link that opens a map; empty if the place isn't known.
    #[must_use]
    pub fn map_link(&self) -> String {
        self.place.map(Coordinates::geo_uri).unwrap_or_default()
    }

    /// What is known, each a label and a text.
    #[must_use]
    pub fn lines(&self) -> Vec<(String, String)> {
        let map = self.place.map(|place| place.to_string()).unwrap_or_default();
        let all = [
            (ADDRESS, self.address_line()),
            (MAP, map),
            (PARKING, self.parking.clone()),
            (WEAR, self.clothing.clone()),
        ];
        all.into_iter().filter(|(_, text)| !text.is_empty()).map(|(label, text)| (label.to_owned(), text)).collect()
    }
}

/// The facts as typed in the form for an event.
#[derive(Debug, Clone, Copy)]
pub(super) struct Typed<'a> {
    pub address: &'a str,
    pub coordinates: &'a str,
    pub parking: &'a str,
    pub clothing: &'a str,
}

impl Typed<'_> {
    /// None if anything is wrong, which is noted.
    pub fn read(self, mistakes: &mut form::Mistakes) -> Option<VisitorFacts> {
        let address = mistakes.note("address", form::paragraph(self.address, 300));
        let place = match self.coordinates.trim() {
            "" => Some(None),
            typed => mistakes.note("coordinates", Coordinates::read(typed)).map(Some),
        };
        let parking = mistakes.note("parking", form::optional_line(self.parking, 200));
        let clothing = mistakes.note("clothing", form::optional_line(self.clothing, 200));
        Some(VisitorFacts { address: address?, place: place?, parking: parking?, clothing: clothing? })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RFC 5870 section 3.3 has the form of the link, RFC 5545 section 3.8.1.6 that of the
    /// calendar's value.
    #[test]
    fn a_place_reads_as_maps_copy_it_and_is_written_as_links_and_calendars_have_it() {
        for typed in
            ["41.59, -93.62", " 41.59,-93.62 ", "(41.590000, -93.620000)", "41.59 -93.62", "+41.59, -93.6200001"]
        {
            let place = Coordinates::read(typed).unwrap();
            assert_eq!(place.to_string(), "41.59, -93.62", "{typed}");
            assert_eq!(place.geo_uri(), "geo:41.59,-93.62");
            assert_eq!(place.geo_value(), "41.590000;-93.620000");
        }
        let place = Coordinates::read("-7, 0.000004").unwrap();
        assert_eq!((place.geo_uri(), place.geo_value()), ("geo:-7,0.000004".into(), "-7.000000;0.000004".into()));
        for wrong in ["", "41.59", "41.59, -93.62, 3", "north, west", "inf, 0", "NaN, 0", "1e1, 2", "91, 0", "0, 180.5"]
        {
            assert!(Coordinates::read(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn only_what_is_known_is_a_line() {
        assert!(VisitorFacts::default().lines().is_empty());
        let facts = VisitorFacts {
            address: "1200 Fairground Road,\n\nAlder Bend, Iowa".to_owned(),
            place: Coordinates::new(41.59, -93.62),
            ..VisitorFacts::default()
        };
        let line = |label: &str, text: &str| (label.to_owned(), text.to_owned());
        assert_eq!(
            facts.lines(),
            [line(ADDRESS, "1200 Fairground Road, Alder Bend, Iowa"), line(MAP, "41.59, -93.62")]
        );
    }
}
