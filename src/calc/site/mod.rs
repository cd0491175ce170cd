//! Whether the crowd sees, hears, and stays where it should: checks of a drawing of the site.
//!
//! Everything here is a **screening estimate**. Local codes, the authority having
//! jurisdiction, and the safety officer decide.
//!
//! Units, unless a name says otherwise: meters, degrees, decibels. A drawing has x to the
//! right and y down. A turn is clockwise. A bearing is clockwise from true north.

pub mod checks;
pub mod crowd;
pub mod shape;
pub mod sight;
pub mod sound;
pub mod sun;

pub use checks::{Finding, Given, Grade, Heat, What, check};
pub use shape::{Item, KINDS, Kind, Place, Shape, Site};

/// One foot, exactly.
pub const FOOT: f64 = 0.3048;
/// One inch, exactly.
pub const INCH: f64 = 0.0254;
