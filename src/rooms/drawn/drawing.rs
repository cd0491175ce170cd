//! Pictures of the rooms: plans and back walls, large on their own page and small elsewhere.

use super::place::Frame;
use super::said::Said;
use super::snapshot::{Drawable, LayoutSnapshot};
use crate::calc::layout::{Grade, Use};
use crate::rooms::{Room, ThingState, feet};
use crate::web::words::tidy;
use std::fmt::Write;

/// Units of a drawing in a meter.
const SCALE: f64 = 100.0;
/// Room around a plan: the catch board lies before the front.
const AROUND: f64 = 0.3;
const BEFORE: f64 = 1.5;

/// An item in a picture.
#[derive(Debug, Clone)]
pub(in crate::rooms) struct Shape {
    pub id: i64,
    pub path: String,
    /// "wanted", "promised", or "here".
    pub state: &'static str,
    /// A check found it wrong.
    pub is_wrong: bool,
    /// Where its label goes, and the label.
    /// Empty if it would cover others.
    pub label: (f64, f64, String),
    /// For those who can't see the picture.
    pub says: String,
    /// Its middle from the left wall and from the back wall in meters, as scripts move it.
    pub at: String,
    pub version: i64,
}

/// One room from above and its back wall from the front.
#[derive(Debug, Clone)]
pub(in crate::rooms) struct Picture {
    pub room: Room,
    pub width: f64,
    pub height: f64,
    /// The three walls, and the open front.
    pub walls: String,
    pub front: String,
    pub shapes: Vec<Shape>,
    pub wall_height: f64,
    pub wall: String,
    pub on_wall: Vec<Shape>,
    /// Meters in one unit.
    pub scale: f64,
    /// Where the drawing's own corner is, in meters: scripts move by differences.
    pub size: String,
}

fn at(meters: f64) -> f64 {
    tidy((meters + AROUND) * SCALE)
}

fn path(corners: &[(f64, f64)], of: impl Fn((f64, f64)) -> (f64, f64)) -> String {
    let mut path = String::new();
    for (number, corner) in corners.iter().enumerate() {
        let (x, y) = of(*corner);
        let _ = write!(path, "{}{x} {y}", if number == 0 { 'M' } else { 'L' });
    }
    path.push('Z');
    path
}

fn state(state: ThingState) -> &'static str {
    match state {
        ThingState::Wanted => "wanted",
        ThingState::Promised => "promised",
        ThingState::Here | ThingState::InPlace => "here",
    }
}

fn shape(one: &Drawable, path: String, (x, y): (f64, f64), wrong: &[u64]) -> Shape {
    let is_wrong = wrong.contains(&one.box_.id);
    let box_ = &one.box_;
    Shape {
        id: one.id,
        path,
        state: state(one.state),
        is_wrong,
        label: (x, y, if is_wrong { format!("▲ {}", one.called) } else { one.called.clone() }),
        says: format!(
            "{}, {} from the left wall, {} from the back wall, {}",
            one.called,
            feet(box_.x),
            feet(box_.y),
            one.state.label()
        ),
        at: format!("{},{}", box_.x, box_.y),
        version: one.place.map_or(0, |place| place.version),
    }
}

/// Pictures of both rooms with what is placed in them.
pub(in crate::rooms) fn pictures(known: &LayoutSnapshot, findings: &[Said]) -> Option<[Picture; 2]> {
    let frame = known.frame?;
    let wrong = findings.iter().filter(|said| said.grade == Grade::Wrong).flat_map(|said| &said.items);
    let wrong: Vec<u64> = wrong.copied().collect();
    Some(Room::ALL.map(|room| picture(&frame, room, &known.drawable(&frame, room), &wrong)))
}

/// Takes away labels that don't fit or would cover another one. Small things keep theirs.
fn thin_out(shapes: &mut [Shape], widths: &[f64]) {
    const LETTER: f64 = 5.6;
    const LINE: f64 = 13.0;
    let mut placed: Vec<(f64, f64, f64)> = Vec::new();
    // What lies on top is named first.
    for (shape, width) in shapes.iter_mut().zip(widths).rev() {
        let (x, y, text) = &mut shape.label;
        let half = LETTER * f64::from(u16::try_from(text.chars().count()).unwrap_or(u16::MAX)) / 2.0;
        let covers = placed.iter().any(|(ox, oy, other)| (*x - ox).abs() < half + other && (*y - oy).abs() < LINE);
        if covers || half > width / 2.0 + 20.0 {
            text.clear();
        } else {
            placed.push((*x, *y, half));
        }
    }
}

fn picture(frame: &Frame, room: Room, drawable: &[Drawable], wrong: &[u64]) -> Picture {
    let mut placed: Vec<&Drawable> = drawable.iter().filter(|one| one.place.is_some()).collect();
    // Carpets below, what hangs above.
    placed.sort_by(|one, two| {
        (one.box_.above, one.box_.height)
            .partial_cmp(&(two.box_.above, two.box_.height))
            .unwrap_or(std::cmp::Ordering::Equal)
    });
    let from_above = |one: &&Drawable| {
        let corners = path(&one.box_.corners(), |(x, y)| (at(x), at(y)));
        shape(one, corners, (at(one.box_.x), at(one.box_.y)), wrong)
    };
    let floor = frame.height;
    let from_front = |one: &&Drawable| {
        let (left, right) = one.box_.across();
        let (low, high) = (one.box_.underside(), one.box_.top());
        let corners = [(left, high), (right, high), (right, low), (left, low)];
        let corners = path(&corners, |(x, z)| (at(x), at(floor - z)));
        shape(one, corners, (at(f64::midpoint(left, right)), at(floor - f64::midpoint(low, high))), wrong)
    };
    let (left, right, back, front) = (at(0.0), at(frame.width), at(0.0), at(frame.depth));
    let on_wall = placed.iter().filter(|one| {
        let (near, _) = one.box_.along();
        near < 0.6 && one.box_.what != Use::Carpet
    });
    let top = at(0.0);
    let named = |all: &[&Drawable], draw: &dyn Fn(&&Drawable) -> Shape| {
        let mut shapes: Vec<Shape> = all.iter().map(draw).collect();
        let widths: Vec<f64> = all.iter().map(|one| one.box_.width * SCALE).collect();
        thin_out(&mut shapes, &widths);
        shapes
    };
    let on_wall: Vec<&Drawable> = on_wall.copied().collect();
    Picture {
        room,
        width: tidy((frame.width + 2.0 * AROUND) * SCALE),
        height: tidy((frame.depth + AROUND + if room == Room::A { BEFORE } else { AROUND }) * SCALE),
        walls: format!("M{left} {front}V{back}H{right}V{front}"),
        front: format!("M{left} {front}H{right}"),
        shapes: named(&placed, &from_above),
        wall_height: tidy((frame.height + 2.0 * AROUND) * SCALE),
        wall: format!("M{left} {top}H{right}V{}H{left}Z", at(floor)),
        on_wall: named(&on_wall, &from_front),
        scale: 1.0 / SCALE,
        size: format!("{} wide, {} deep, {} high", feet(frame.width), feet(frame.depth), feet(frame.height)),
    }
}
