//! What is in the way of the sprinkler's spray.
//!
//! The limits are those of NFPA 13 and 13D as commonly quoted. Their text was not at hand;
//! the listed product's data decide.

use super::super::shape::{Frame, Placed, Use, size};
use super::super::{INCH, ROUNDING};
use super::finding::{good_or, of, within};
use super::{Finding, Grade, What};

/// The deflector of a pendent residential sprinkler below a smooth ceiling: 1 to 4 in. NFPA
/// 13D, from memory.
const DEFLECTOR: (f64, f64) = (INCH, 4.0 * INCH);
/// The spray forms in the 18 in below the deflector. NFPA 13, from memory.
const SPRAY: f64 = 18.0 * INCH;
/// Whatever reaches into the spray stays away by this many times its larger side in plan, but
/// never by more than 36 in: the "four times rule" that NFPA 13 has for residential
/// sprinklers, from memory. (For standard spray it is three times, up to 24 in.)
const TIMES: f64 = 4.0;
const ENOUGH: f64 = 36.0 * INCH;

/// Each sprinkler: its height, and everything in its spray.
pub fn sprinklers(frame: &Frame, placed: &[Placed]) -> Vec<Finding> {
    of(placed, Use::Sprinkler).flat_map(|head| sprinkler(frame, head, placed)).collect()
}

fn sprinkler(frame: &Frame, head: &Placed, placed: &[Placed]) -> Vec<Finding> {
    let below_ceiling = size(frame.height) - head.underside();
    let is_usual = within(below_ceiling, DEFLECTOR.0, DEFLECTOR.1);
    let mut found = vec![Finding::new(What::SprinklerDepth { below_ceiling }, good_or(is_usual, Grade::Look), &[head])];
    let blocked: Vec<Finding> = placed.iter().filter_map(|item| blocked(head, item)).collect();
    if blocked.is_empty() {
        found.push(Finding::new(What::SprinklerClear, Grade::Good, &[head]));
    }
    found.extend(blocked);
    found
}

/// Is this item in the spray? Clear panels are a wall, and what is all above the deflector is
/// out of the way.
fn blocked(head: &Placed, item: &Placed) -> Option<Finding> {
    let is_room = matches!(item.what, Use::Sprinkler | Use::ClearPanel { .. } | Use::FuseHole);
    let below = head.underside() - item.top();
    let reaches_spray = below < SPRAY - ROUNDING && item.underside() < head.underside() - ROUNDING;
    if is_room || !reaches_spray {
        return None;
    }
    let point = Placed { width: 0.0, depth: 0.0, ..*head };
    let gap = point.gap(item);
    let wanted = (TIMES * size(item.width.max(item.depth))).min(ENOUGH);
    let grade = if gap <= ROUNDING { Grade::Wrong } else { Grade::Look };
    (gap <= ROUNDING || gap < wanted - ROUNDING)
        .then(|| Finding::new(What::SprinklerBlocked { below, gap, wanted }, grade, &[head, item]))
}
