//! The drawn plan of a burn room: where everything stands, and what is wrong with it.
//!
//! Two rooms are built and furnished alike; one has a sprinkler. Each is drawn in plan and
//! checked by [`check`]; [`alike`] compares the two, [`fire_distances`] measures what the
//! fire estimate needs, and [`cut_list`] says what to cut.
//!
//! Everything here is a **screening check** of a drawing. The authority having jurisdiction,
//! the safety officer, and the listed product's data decide.
//!
//! Units: meters and degrees. As the audience looks in, x runs from the left wall to the
//! right, y from the back wall toward the audience, and z up from the floor. A plan with the
//! audience at its bottom has x to the right and y down, and a turn is clockwise on it.

pub mod checks;
pub mod compare;
pub mod cuts;
pub mod shape;

pub use checks::{Finding, Grade, What, check, open_share};
pub use compare::{FireDistances, Likeness, Moved, PLACE_TOLERANCE, Reach, alike, fire_distances};
pub use cuts::{Cut, CutOf, CutSizes, cut_list};
pub use shape::{Fastening, Frame, Placed, Protection, Side, Use, inside};

use crate::calc::fire::FOOT;

/// One inch, exactly, in meters.
const INCH: f64 = 0.0254;

/// Lengths that differ by less are the same: far below what anybody draws, far above what
/// arithmetic loses.
const ROUNDING: f64 = 1e-6;

#[cfg(test)]
mod testing;
