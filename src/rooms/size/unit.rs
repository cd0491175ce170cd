//! The units of lengths, and how to type them.

use crate::named::named;

named! {
    /// The unit a size was typed in.
    Unit, "Choose a unit.", UNITS: [
        Centimetre = "cm",
        Inch = "in",
    ]
}

/// What to tell someone whose text is no length.
pub(super) const WRONG: &str =
    "Type up to three lengths with the unit, as in “24 1/2 in”, “5 ft 2 in” or “60 × 40 × 120 cm”.";
