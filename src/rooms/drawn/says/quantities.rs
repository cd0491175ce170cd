//! Sizes and parts of the drawn rooms in words.

use crate::calc::layout::{Fastening, Side, Use};
use crate::calc::site::INCH;
use crate::rooms::feet;

/// "12 in (305 mm)".
pub(super) fn inches(meters: f64) -> String {
    let inches = (meters / INCH * 10.0).round() / 10.0;
    format!("{inches} in ({:.0} mm)", meters * 1_000.0).replace('-', "−")
}

/// "7 ft 6 in (2.29 m)".
pub(super) fn tall(meters: f64) -> String {
    format!("{} ({meters:.2} m)", feet(meters))
}

pub(super) fn percent(share: f64) -> String {
    format!("{:.0}%", share * 100.0)
}

pub(super) fn held(fastened: Fastening) -> &'static str {
    match fastened {
        Fastening::Screwed => "screwed on",
        Fastening::QuickRelease => "on quick release",
        Fastening::Unknown => "not said",
    }
}

pub(super) fn use_name(what: Use) -> &'static str {
    match what {
        Use::Basket => "wastebasket",
        Use::Curtain => "curtain",
        Use::Carpet => "carpet",
        Use::ClearPanel { .. } => "clear panel",
        Use::CatchBoard => "catch board",
        Use::Sprinkler => "sprinkler head",
        Use::Alarm => "smoke alarm",
        Use::FuseHole => "fuse hole",
        Use::Fuel | Use::Other => "item",
    }
}

pub(super) fn side(side: Side) -> &'static str {
    match side {
        Side::Left => "through the left wall",
        Side::Right => "through the right wall",
        Side::Back => "through the back wall",
        Side::Front => "out of the front",
        Side::Floor => "through the floor",
        Side::Ceiling => "through the ceiling",
    }
}
