//! Walls, overlaps, curtains, and the carpet.

use super::super::shape::{Frame, Placed, Side, Use, covered, size};
use super::super::{FOOT, INCH, ROUNDING};
use super::finding::{good_or, of, within};
use super::{Finding, Grade, What};

/// Less than this through a wall, or into another item, is only the drawing.
const TOUCHING: f64 = 0.25 * INCH;
/// Whatever is no thicker lies under other things: a rug, a board.
const FLAT: f64 = INCH;
/// The most between a curtain's hem and the floor.
const HEM: f64 = 2.0 * INCH;
/// A curtain on the back wall is no farther out, rod and folds included.
const CURTAIN_OUT: f64 = FOOT;
/// The least part of the floor that a carpet covers.
const CARPET: f64 = 0.95;

/// What sticks out of the room.
pub fn outside(frame: &Frame, placed: &[Placed]) -> Vec<Finding> {
    let finding = |item: &Placed| {
        let sides = item.sticks_out(frame).into_iter().filter(|(side, _)| !belongs_there(item.what, *side));
        let (side, by) = sides.max_by(|one, other| one.1.total_cmp(&other.1))?;
        (by > TOUCHING).then(|| Finding::new(What::Outside { side, by }, Grade::Wrong, &[item]))
    };
    placed.iter().filter_map(finding).collect()
}

/// Does it go through this side by its nature?
fn belongs_there(what: Use, side: Side) -> bool {
    match what {
        Use::CatchBoard => true,
        Use::ClearPanel { .. } => side == Side::Front,
        Use::FuseHole => side == Side::Back,
        Use::Sprinkler => side == Side::Ceiling,
        _ => false,
    }
}

/// Items on the floor that take up the same ground.
pub fn overlaps(placed: &[Placed]) -> Vec<Finding> {
    let standing: Vec<&Placed> = placed.iter().filter(|item| stands(item)).collect();
    let pairs = standing.iter().enumerate().flat_map(|(at, one)| standing[at + 1..].iter().map(move |two| (one, two)));
    let by = pairs.map(|(one, two)| (one, two, one.overlap(two))).filter(|(_, _, by)| *by > TOUCHING);
    by.map(|(one, two, by)| Finding::new(What::Overlap { by }, Grade::Wrong, &[one, two])).collect()
}

/// Does it take up ground of its own? What is raised may lie on something, and a curtain
/// gives way.
fn stands(item: &Placed) -> bool {
    let gives_way =
        matches!(item.what, Use::Carpet | Use::Curtain | Use::CatchBoard | Use::FuseHole | Use::Sprinkler | Use::Alarm);
    !gives_way && item.underside() <= FLAT + ROUNDING && item.height > FLAT + ROUNDING
}

/// Each curtain: from its rod to the floor, on the back wall.
pub fn curtains(placed: &[Placed]) -> Vec<Finding> {
    let both = |item: &Placed| {
        let (drop, gap, farthest) = (size(item.height), item.underside(), item.along().1);
        let on_wall = within(farthest, 0.0, CURTAIN_OUT);
        [
            Finding::new(What::CurtainDrop { drop, gap }, good_or(gap <= HEM + ROUNDING, Grade::Look), &[item]),
            Finding::new(What::CurtainToWall { farthest }, good_or(on_wall, Grade::Wrong), &[item]),
        ]
    };
    of(placed, Use::Curtain).flat_map(both).collect()
}

/// All carpet together; none if there is no carpet.
pub fn carpet(frame: &Frame, placed: &[Placed]) -> Option<Finding> {
    let carpets: Vec<&Placed> = of(placed, Use::Carpet).collect();
    let floor = size(frame.width) * size(frame.depth);
    if carpets.is_empty() || floor <= 0.0 {
        return None;
    }
    let outlines: Vec<_> = carpets.iter().map(|item| item.outline()).collect();
    let share = (covered(&frame.floor(), &outlines) / floor).min(1.0);
    Some(Finding::new(What::CarpetCover { share }, good_or(share >= CARPET, Grade::Look), &carpets))
}
