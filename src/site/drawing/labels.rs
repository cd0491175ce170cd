//! Labels on the drawing, so placed that no two are on top of each other.

use super::scale::Scale;
use crate::calc::site::{Item, Place, Site};
use crate::web::words::tidy;

/// What a letter of a label takes up, and a line of it.
const LETTER: f64 = 6.6;

const LINE: f64 = 15.0;

#[derive(Debug, Clone)]
pub(in crate::site) struct Label {
    pub x: f64,
    pub y: f64,
    pub text: String,
}

/// A part of the drawing, in its units.
#[derive(Debug, Clone, Copy)]
pub(super) struct Bounds {
    pub left: f64,
    pub top: f64,
    pub right: f64,
    pub bottom: f64,
}

impl Bounds {
    /// Around these places.
    pub fn of(places: &[Place], scale: Scale) -> Self {
        let nothing =
            Self { left: f64::INFINITY, top: f64::INFINITY, right: f64::NEG_INFINITY, bottom: f64::NEG_INFINITY };
        places.iter().fold(nothing, |all, place| {
            let (x, y) = (scale.of(place.x), scale.of(place.y));
            Self { left: all.left.min(x), top: all.top.min(y), right: all.right.max(x), bottom: all.bottom.max(y) }
        })
    }

    /// A single point.
    pub fn at(x: f64, y: f64) -> Self {
        Self { left: x, top: y, right: x, bottom: y }
    }
}

/// How wide a label is.
fn width(text: &str) -> f64 {
    LETTER * f64::from(u16::try_from(text.chars().count()).unwrap_or(u16::MAX))
}

/// The labels that were placed.
pub(super) struct Labels {
    taken: Vec<Bounds>,
    width: f64,
    height: f64,
}

impl Labels {
    /// On a drawing of this size, where something is there already.
    pub fn beside(taken: Bounds, width: f64, height: f64) -> Self {
        Self { taken: vec![taken], width, height }
    }

    /// A label for something that takes up this part of the drawing.
    pub fn take(&mut self, text: &str, around: Bounds) -> Label {
        let Bounds { left, top, right, bottom } = around;
        let width = width(text);
        let middle = (left + right - width) / 2.0;
        let inside = right - left > width + 6.0 && bottom - top > LINE;
        let mut places = vec![
            (middle, bottom + LINE - 3.0),
            (middle, top - 4.0),
            (right + 4.0, f64::midpoint(top, bottom) + 4.0),
            (left - width - 4.0, f64::midpoint(top, bottom) + 4.0),
            (middle, bottom + 2.0 * LINE),
            (middle, top - LINE - 4.0),
        ];
        if inside {
            places.insert(0, (middle, f64::midpoint(top, bottom) + 4.0));
        }
        let (x, y) = places.iter().copied().find(|(x, y)| self.is_free(*x, *y, width)).unwrap_or(places[0]);
        let x = x.clamp(0.0, (self.width - width).max(0.0));
        self.put(x, y, width);
        Label { x: tidy(x), y: tidy(y), text: text.to_owned() }
    }

    /// A label, by its middle, on a line so many meters around the rooms: this many degrees aside
    /// from where they face, or where there is room.
    pub fn ring(&mut self, site: &Site, scale: Scale, (meters, aside): (f64, f64), text: &str) -> Option<Label> {
        let facing = site.rooms().first()?.facing();
        let across = Place { x: -facing.y, y: facing.x };
        let along = |place: &Place| place.x * across.x + place.y * across.y;
        let ends: Vec<Place> = site.rooms().into_iter().flat_map(Item::front).collect();
        let by_side = |one: &&Place, other: &&Place| along(one).total_cmp(&along(other));
        let (first, last) = (ends.iter().min_by(by_side)?, ends.iter().max_by(by_side)?);
        let width = width(text);
        let place = |degrees: f64| {
            let (sin, cos) = degrees.to_radians().sin_cos();
            let end = if degrees == 0.0 {
                first.halfway(*last)
            } else if degrees < 0.0 {
                *first
            } else {
                *last
            };
            let reach = |front: f64, facing: f64, across: f64| front + meters * (facing * cos + across * sin);
            let x = scale.of(reach(end.x, facing.x, across.x)) - width / 2.0;
            (x, scale.of(reach(end.y, facing.y, across.y)) + 4.0)
        };
        let places = [aside, 0.0, -30.0, 30.0, -60.0, 60.0, -90.0, 90.0].map(place);
        let (x, y) = places.into_iter().find(|(x, y)| self.is_free(*x, *y, width))?;
        self.put(x, y, width);
        Some(Label { x: tidy(x + width / 2.0), y: tidy(y), text: text.to_owned() })
    }

    fn put(&mut self, x: f64, y: f64, width: f64) {
        self.taken.push(Bounds { left: x, top: y - LINE, right: x + width, bottom: y });
    }

    /// Is there room for a label of this width at this place?
    fn is_free(&self, x: f64, y: f64, width: f64) -> bool {
        let is_apart =
            |other: &Bounds| x >= other.right || x + width <= other.left || y - LINE >= other.bottom || y <= other.top;
        self.taken.iter().all(is_apart) && x >= 0.0 && x + width <= self.width && y >= LINE && y <= self.height
    }
}
