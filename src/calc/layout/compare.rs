//! Room A's plan against room B's, and the distances that the fire estimate needs.

use super::shape::{Frame, Placed, Use, size};
use super::{INCH, ROUNDING};
use std::collections::BTreeMap;

/// Two matched items stand in the same place if they are no farther apart: common practice,
/// no source.
pub const PLACE_TOLERANCE: f64 = 3.0 * INCH;

/// A pair that doesn't stand alike.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moved {
    /// The item of room A
    pub a: u64,
    /// and of room B.
    pub b: u64,
    /// How far apart they are in plan, m.
    pub by: f64,
    /// How much higher B's is, m.
    pub raised: f64,
    /// The angle between them, 0 to 180 degrees.
    pub turned: f64,
}

/// How alike two plans are.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Likeness {
    /// Room B is built the other way around. What is in `moved` differs even so.
    pub mirrored: bool,
    /// In the order of the pairs.
    pub moved: Vec<Moved>,
    /// Pairs of which at least one item isn't drawn.
    pub not_drawn: Vec<(u64, u64)>,
}

/// Compares the places of paired items. The first alarms of both rooms are a pair even if the
/// list doesn't say so.
///
/// An item that was turned stands elsewhere if a corner of it has moved by more than
/// `tolerance`, m. Room B counts as mirrored if at least two pairs differ as drawn, and fewer
/// than half of those once it is mirrored.
#[must_use]
pub fn alike(a: &[Placed], b: &[Placed], pairs: &[(u64, u64)], tolerance: f64, frame: &Frame) -> Likeness {
    let by_id = |items: &[Placed]| items.iter().map(|item| (item.id, *item)).collect::<BTreeMap<u64, Placed>>();
    let (items_a, items_b) = (by_id(a), by_id(b));
    let mut all = pairs.to_vec();
    all.extend(alarms(a, b, pairs));
    let mut drawn = Vec::new();
    let mut not_drawn = Vec::new();
    for (one, other) in all {
        match (items_a.get(&one), items_b.get(&other)) {
            (Some(one), Some(other)) => drawn.push((*one, *other)),
            _ => not_drawn.push((one, other)),
        }
    }
    let moved: Vec<Moved> = drawn.iter().filter_map(|(one, other)| difference(one, other, tolerance)).collect();
    let turned_around = drawn.iter().filter_map(|(one, other)| difference(one, &other.mirrored(frame), tolerance));
    let turned_around: Vec<Moved> = turned_around.collect();
    let mirrored = moved.len() > 1 && turned_around.len() * 2 < moved.len();
    Likeness { mirrored, moved: if mirrored { turned_around } else { moved }, not_drawn }
}

/// The first alarms, unless they are paired already.
fn alarms(a: &[Placed], b: &[Placed], pairs: &[(u64, u64)]) -> Option<(u64, u64)> {
    let first = |items: &[Placed]| items.iter().find(|item| item.what == Use::Alarm).map(|item| item.id);
    let (one, other) = (first(a)?, first(b)?);
    let is_paired = pairs.iter().any(|(in_a, in_b)| *in_a == one || *in_b == other);
    (!is_paired).then_some((one, other))
}

/// How two items stand differently, if they do.
fn difference(a: &Placed, b: &Placed, tolerance: f64) -> Option<Moved> {
    let (by, raised) = (a.apart(b), b.underside() - a.underside());
    let turn = (b.turn % 360.0 - a.turn % 360.0).rem_euclid(360.0);
    let turned = turn.min(360.0 - turn);
    // Turned about the center, a corner moves by a chord.
    let chord = size(a.width).hypot(size(a.depth)) * (turned / 2.0).to_radians().sin();
    (by.hypot(raised).max(chord) > tolerance + ROUNDING).then_some(Moved { a: a.id, b: b.id, by, raised, turned })
}

/// From the fire to a sprinkler or an alarm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reach {
    /// In plan, from center to center, m.
    pub distance: f64,
    /// Its underside above the fire's surface, m; negative below it.
    pub height: f64,
}

/// What the fire estimate needs from a plan. The ceiling's height above the fire is the
/// room's height less `surface`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FireDistances {
    /// The fire's surface above the floor, m: the basket's rim.
    pub surface: f64,
    /// To the nearest sprinkler.
    pub sprinkler: Option<Reach>,
    /// To the nearest alarm.
    pub alarm: Option<Reach>,
}

/// Distances from the first basket; none if no basket is drawn.
#[must_use]
pub fn fire_distances(placed: &[Placed]) -> Option<FireDistances> {
    let basket = placed.iter().find(|item| item.what == Use::Basket)?;
    let surface = basket.top();
    let nearest = |what: Use| {
        let reaches = placed.iter().filter(|item| item.what == what);
        let reaches = reaches.map(|item| Reach { distance: basket.apart(item), height: item.underside() - surface });
        reaches.min_by(|one, other| one.distance.total_cmp(&other.distance))
    };
    Some(FireDistances { surface, sprinkler: nearest(Use::Sprinkler), alarm: nearest(Use::Alarm) })
}

#[cfg(test)]
mod tests;
