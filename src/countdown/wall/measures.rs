//! The measures of the wall plan.

/// Width by height. With the head and the foot, it fills a sheet of 11 by 17 inches, and
/// nearly one of A3.
pub(super) const ASPECT: f64 = 1.9;
/// The narrowest sheet. The narrower it is, the larger the type, and larger isn't needed.
pub(super) const NARROWEST: f64 = 1_100.0;
/// Where the lanes start, to the right of their names.
pub(super) const LEFT: f64 = 136.0;
/// Between the last day and the edge; a late bar on that day sticks out by its triangle.
pub(super) const MARGIN: f64 = 18.0;
/// Between a name and the edge.
pub(super) const EDGE: f64 = 4.0;
/// Where the first lane starts, below the names of the weeks.
pub(super) const TOP: f64 = 26.0;
/// Below the lanes, for today, burn day, and the rain date.
pub(super) const FOOT: f64 = 54.0;
pub(super) const PITCH: f64 = 13.0;
pub(super) const BAR: f64 = 9.0;
pub(super) const SHORTEST: f64 = 5.0;
pub(super) const LANE_GAP: f64 = 7.0;
/// The sign of a date.
pub(super) const POINT: f64 = 9.0;
/// The triangle after a late bar.
pub(super) const FLAG: f64 = 11.0;
/// The type of names, of the weeks, and of today and burn day.
pub(super) const NAMES: f64 = 11.0;
pub(super) const WEEKS: f64 = 11.0;
pub(super) const UPRIGHTS: f64 = 12.5;
/// Between a bar and its name.
pub(super) const SPACE: f64 = 4.0;
/// Between a name and what follows.
pub(super) const GAP: f64 = 7.0;
