//! All checks of one room's plan, the worst finding first.
//!
//! Unless a source is named, a limit is common practice, without a source.

mod finding;
mod ignition;
mod items;
mod openings;
mod sprinkler;

use super::shape::{Frame, Placed, Protection, Use};
use finding::of;

pub use finding::{Finding, Grade, What};
pub use openings::open_share;

/// Checks one room's plan. Walls and overlaps are only mentioned where something is wrong;
/// everything else that is drawn gets a finding for each of its checks, even a good one.
#[must_use]
pub fn check(protection: Protection, frame: &Frame, placed: &[Placed]) -> Vec<Finding> {
    let mut found = missing(protection, placed);
    found.extend(items::outside(frame, placed));
    found.extend(items::overlaps(placed));
    found.extend(items::curtains(placed));
    found.extend(items::carpet(frame, placed));
    found.extend(ignition::basket(placed));
    found.extend(ignition::fuse_holes(placed));
    found.extend(openings::panels(protection, placed));
    if protection == Protection::Unprotected {
        found.extend(openings::catch_boards(frame, placed));
    }
    found.push(openings::open_front(frame, placed));
    found.extend(sprinkler::sprinklers(frame, placed));
    found.sort_by_key(|finding| finding.grade);
    found
}

/// What each room needs, and what room A must not have. Clear panels can be left out.
fn missing(protection: Protection, placed: &[Placed]) -> Vec<Finding> {
    let is_b = protection == Protection::Sprinklered;
    let needed = [
        (Use::Basket, Grade::Wrong, true),
        (Use::Alarm, Grade::Wrong, true),
        (Use::Sprinkler, Grade::Wrong, is_b),
        (Use::Curtain, Grade::Look, true),
        (Use::Carpet, Grade::Look, true),
        (Use::FuseHole, Grade::Look, true),
        (Use::CatchBoard, Grade::Look, !is_b),
    ];
    let gone = needed.into_iter().filter(|(what, _, is_needed)| *is_needed && of(placed, *what).next().is_none());
    let mut found: Vec<Finding> = gone.map(|(what, grade, _)| Finding::new(What::Missing(what), grade, &[])).collect();
    if !is_b {
        found.extend(of(placed, Use::Sprinkler).map(|item| Finding::new(What::SprinklerInA, Grade::Wrong, &[item])));
    }
    found
}

#[cfg(test)]
mod tests;
