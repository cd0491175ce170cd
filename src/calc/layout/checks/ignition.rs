//! Where the fire begins: the basket, the curtain that it lights, and the hole that its fuse
//! comes through.

use super::super::shape::{Placed, Use, size};
use super::super::{INCH, ROUNDING};
use super::finding::{good_or, of, within};
use super::{Finding, Grade, What};

/// A basket's width, depth, and height.
const BASKET: (f64, f64) = (12.0 * INCH, 14.0 * INCH);
/// The curtain touches the basket: no more between them.
const TO_CURTAIN: f64 = INCH;
/// The basket stands before the back wall: no more between them.
const TO_WALL: f64 = 6.0 * INCH;
/// A fuse hole is about 3 in wide.
const HOLE: (f64, f64) = (2.5 * INCH, 3.5 * INCH);
/// The hole's middle is no farther from the back wall.
const IN_WALL: f64 = 6.0 * INCH;
/// A fuse from a hole this far above the rim still drops into the basket.
const FUSE: f64 = 6.0 * INCH;

/// The basket's size, and its gaps to the curtain and to the back wall. Of several baskets,
/// the first is lit.
pub fn basket(placed: &[Placed]) -> Vec<Finding> {
    let Some(basket) = of(placed, Use::Basket).next() else { return Vec::new() };
    let (width, depth, height) = (size(basket.width), size(basket.depth), size(basket.height));
    let fits = [width, depth, height].into_iter().all(|length| within(length, BASKET.0, BASKET.1));
    let to_wall = basket.along().0;
    let mut found = vec![
        Finding::new(What::BasketSize { width, depth, height }, good_or(fits, Grade::Look), &[basket]),
        Finding::new(
            What::BasketToWall { gap: to_wall },
            good_or(to_wall <= TO_WALL + ROUNDING, Grade::Wrong),
            &[basket],
        ),
    ];
    let gaps = of(placed, Use::Curtain).map(|curtain| (curtain, basket.gap(curtain)));
    if let Some((curtain, gap)) = gaps.min_by(|one, other| one.1.total_cmp(&other.1)) {
        let grade = good_or(gap <= TO_CURTAIN + ROUNDING, Grade::Wrong);
        found.push(Finding::new(What::BasketToCurtain { gap }, grade, &[basket, curtain]));
    }
    found
}

/// Each fuse hole: its size, and whether its fuse reaches the basket.
pub fn fuse_holes(placed: &[Placed]) -> Vec<Finding> {
    let basket = of(placed, Use::Basket).next();
    let both = |hole: &Placed| {
        let (width, height) = (size(hole.width), size(hole.height));
        let is_usual = within(width, HOLE.0, HOLE.1) && within(height, HOLE.0, HOLE.1);
        let its_size = Finding::new(What::FuseHoleSize { width, height }, good_or(is_usual, Grade::Look), &[hole]);
        [Some(its_size), basket.map(|basket| fuse_hole_place(hole, basket))].into_iter().flatten()
    };
    of(placed, Use::FuseHole).flat_map(both).collect()
}

fn fuse_hole_place(hole: &Placed, basket: &Placed) -> Finding {
    let ((left, right), middle) = (basket.across(), f64::midpoint(hole.across().0, hole.across().1));
    let from_wall = f64::midpoint(hole.along().0, hole.along().1).abs();
    let aside = (left - middle).max(middle - right).max(0.0);
    let above_rim = hole.middle() - basket.top();
    let grade = if from_wall > IN_WALL + ROUNDING || aside > ROUNDING {
        Grade::Wrong
    } else {
        good_or(within(hole.middle(), basket.underside(), basket.top() + FUSE), Grade::Look)
    };
    Finding::new(What::FuseHolePlace { from_wall, aside, above_rim }, grade, &[hole, basket])
}
