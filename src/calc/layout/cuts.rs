//! What to cut for two rooms: carpet, curtains, clear panels, and sheets of 4 × 8 ft. Studs
//! and joists are left to whoever draws the frame.

use super::shape::{Frame, size};
use super::{FOOT, INCH};

/// A sheet of plywood, gypsum board, or clear plastic: 4 × 8 ft, as commonly sold.
const SHEET: (f64, f64) = (4.0 * FOOT, 8.0 * FOOT);
const ROOMS: u32 = 2;

/// What a piece is cut from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CutOf {
    /// A carpet.
    Carpet,
    /// A curtain.
    Curtain,
    /// A clear panel.
    ClearPanel,
    /// A catch board.
    CatchBoard,
    /// Whole sheets for floor, ceiling, and the three walls.
    Plywood,
    /// Whole sheets that line ceiling and walls. The fire estimate takes the room to be lined
    /// with it: bare plywood adds to the fire.
    Gypsum,
}

/// Pieces of one size, for both rooms together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cut {
    /// What it is cut from.
    pub what: CutOf,
    /// How many.
    pub count: u32,
    /// The shorter side, m; of a curtain, across.
    pub width: f64,
    /// The longer side, m; of a curtain, from the rod down.
    pub length: f64,
}

/// What the room's size alone doesn't say.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CutSizes {
    /// The curtain's rod above the floor, m.
    pub rod: f64,
    /// From the curtain's hem to the floor, m.
    pub clearance: f64,
    /// The curtain's width, m. Each room has one.
    pub curtain_width: f64,
    /// How far clear panels reach down from the top of the front, m.
    pub panel_drop: f64,
    /// Spare sheets, as a part of those needed.
    pub spare_share: f64,
}

impl CutSizes {
    /// A rod at 7 ft, an inch of air below a curtain 4 ft wide, panels over the upper 4 ft, and
    /// a tenth more sheets: common practice, no source.
    pub const USUAL: Self =
        Self { rod: 7.0 * FOOT, clearance: INCH, curtain_width: 4.0 * FOOT, panel_drop: 4.0 * FOOT, spare_share: 0.1 };
}

/// What two rooms of this size take. Nothing that would be empty is listed.
#[must_use]
pub fn cut_list(frame: &Frame, sizes: &CutSizes) -> Vec<Cut> {
    let (width, depth, height) = (size(frame.width), size(frame.depth), size(frame.height));
    let drop = size(size(sizes.rod).min(height) - size(sizes.clearance));
    let lined = sheets(width, depth) + 2 * sheets(depth, height) + sheets(width, height);
    let whole = |what, needed| piece(what, with_spare(needed, sizes.spare_share), SHEET);
    let cuts = [
        piece(CutOf::Carpet, ROOMS, (width, depth)),
        Cut { what: CutOf::Curtain, count: ROOMS, width: size(sizes.curtain_width), length: drop },
        panels(width, size(sizes.panel_drop).min(height)),
        piece(CutOf::CatchBoard, 1, SHEET),
        whole(CutOf::Plywood, ROOMS * (lined + sheets(width, depth))),
        whole(CutOf::Gypsum, ROOMS * lined),
    ];
    cuts.into_iter().filter(|cut| cut.count > 0 && cut.width > 0.0 && cut.length > 0.0).collect()
}

fn piece(what: CutOf, count: u32, (one, other): (f64, f64)) -> Cut {
    Cut { what, count, width: one.min(other), length: one.max(other) }
}

/// Equal pieces, none larger than a sheet that lies on its side.
fn panels(width: f64, drop: f64) -> Cut {
    let (across, down) = (whole(width / SHEET.1), whole(drop / SHEET.0));
    let of = |length: f64, pieces: u32| length / f64::from(pieces.max(1));
    piece(CutOf::ClearPanel, ROOMS * across * down, (of(width, across), of(drop, down)))
}

/// Sheets for one surface, all laid the same way, without using what was cut off.
fn sheets(width: f64, height: f64) -> u32 {
    let laid = |one: f64, other: f64| whole(width / one) * whole(height / other);
    laid(SHEET.0, SHEET.1).min(laid(SHEET.1, SHEET.0))
}

/// At most ten times as many: whatever is above that is a slip.
fn with_spare(needed: u32, share: f64) -> u32 {
    whole(f64::from(needed) * (1.0 + share.clamp(0.0, 9.0)))
}

/// Rounded up. What arithmetic loses doesn't make one more.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small count, and not below zero")]
fn whole(count: f64) -> u32 {
    (count - 1e-9).ceil().max(0.0) as u32
}

#[cfg(test)]
mod tests;
