//! The open front: clear panels, the catch board before it, and the air that gets in.

use super::super::shape::{Fastening, Frame, Placed, Protection, Use, covered, size};
use super::super::{FOOT, INCH, ROUNDING};
use super::finding::{good_or, of, within};
use super::{Finding, Grade, What};

/// What is no farther from the front blocks it.
const BLOCKS: f64 = FOOT;
/// Below these parts of the front, look again, or it is wrong.
const OPEN: (f64, f64) = (0.7, 0.5);
/// The catch board is 4 × 8 ft, sawn boards a little less.
const BOARD: (f64, f64) = (4.0 * FOOT - INCH, 8.0 * FOOT - INCH);
/// The catch board lies no farther from the front, and reaches no farther in.
const BOARD_GAP: (f64, f64) = (-2.0 * INCH, FOOT);
/// The catch board lies on the ground: its underside against the floor. Rooms may be raised.
const BOARD_ABOVE: f64 = INCH;
/// The least part of the front's width that the catch board lies before.
const BOARD_SHARE: f64 = 0.95;

/// How each clear panel is held: screwed on in room A, which burns down; with a quick
/// release in room B, so that the crew gets in.
pub fn panels(protection: Protection, placed: &[Placed]) -> Vec<Finding> {
    let wanted = match protection {
        Protection::Unprotected => Fastening::Screwed,
        Protection::Sprinklered => Fastening::QuickRelease,
    };
    let finding = |item: &Placed| {
        let Use::ClearPanel { fastened } = item.what else { return None };
        let other = if fastened == Fastening::Unknown { Grade::Look } else { Grade::Wrong };
        let grade = good_or(fastened == wanted, other);
        Some(Finding::new(What::PanelFastening { fastened, wanted }, grade, &[item]))
    };
    placed.iter().filter_map(finding).collect()
}

/// Each catch board: its size, and whether it lies before the front.
pub fn catch_boards(frame: &Frame, placed: &[Placed]) -> Vec<Finding> {
    of(placed, Use::CatchBoard).flat_map(|board| [board_size(board), board_place(frame, board)]).collect()
}

fn board_size(board: &Placed) -> Finding {
    let (one, other) = (size(board.width), size(board.depth));
    let (width, length) = (one.min(other), one.max(other));
    let is_whole = width >= BOARD.0 - ROUNDING && length >= BOARD.1 - ROUNDING;
    Finding::new(What::CatchBoardSize { width, length }, good_or(is_whole, Grade::Look), &[board])
}

fn board_place(frame: &Frame, board: &Placed) -> Finding {
    let (front, (left, right)) = (size(frame.width), board.across());
    let (gap, above) = (board.along().0 - size(frame.depth), board.underside());
    let before = (right.min(front) - left.max(0.0)).max(0.0);
    let share = if front > 0.0 { before / front } else { 0.0 };
    let is_before = within(gap, BOARD_GAP.0, BOARD_GAP.1) && above <= BOARD_ABOVE + ROUNDING && share >= BOARD_SHARE;
    Finding::new(What::CatchBoardPlace { gap, above, share }, good_or(is_before, Grade::Look), &[board])
}

/// How much of the front is left open to the air.
pub fn open_front(frame: &Frame, placed: &[Placed]) -> Finding {
    let share = open_share(frame, placed);
    let grade = if share < OPEN.1 - ROUNDING { Grade::Wrong } else { good_or(share >= OPEN.0 - ROUNDING, Grade::Look) };
    let in_the_way: Vec<&Placed> = placed.iter().filter(|item| blocks(frame, item)).collect();
    Finding::new(What::OpenFront { share }, grade, &in_the_way)
}

/// The part of the open front that nothing within a foot of it blocks, as the audience sees
/// it. Clear panels make the front smaller; they don't block it. 0 if they close it.
#[must_use]
pub fn open_share(frame: &Frame, placed: &[Placed]) -> f64 {
    let is_panel = |item: &&Placed| matches!(item.what, Use::ClearPanel { .. }) && is_near(frame, item);
    let mut parts: Vec<_> = placed.iter().filter(is_panel).map(Placed::front_view).collect();
    let front = frame.front();
    let open = size(frame.width) * size(frame.height) - covered(&front, &parts);
    if open <= ROUNDING {
        return 0.0;
    }
    parts.extend(placed.iter().filter(|item| blocks(frame, item)).map(Placed::front_view));
    let left = size(frame.width) * size(frame.height) - covered(&front, &parts);
    (left / open).clamp(0.0, 1.0)
}

/// Does it stand in the way of the air? Carpet and catch board lie flat.
fn blocks(frame: &Frame, item: &Placed) -> bool {
    !matches!(item.what, Use::ClearPanel { .. } | Use::Carpet | Use::CatchBoard | Use::FuseHole) && is_near(frame, item)
}

fn is_near(frame: &Frame, item: &Placed) -> bool {
    let (front, (from, to)) = (size(frame.depth), item.along());
    (front - to).max(from - front) <= BLOCKS + ROUNDING
}
