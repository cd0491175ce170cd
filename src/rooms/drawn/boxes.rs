//! What the items on the lists take up in a room, by their types and sizes.

use super::place::{Frame, Place};
use crate::calc::layout::{self, Fastening, Placed, Use};
use crate::calc::pairs::{first_word, folded};
use crate::calc::site::INCH;
use crate::rooms::{Kind, Thing};

/// A number for the checks. Those of built parts are negative here, and far above the others
/// there.
pub(super) fn number(id: i64) -> u64 {
    const BUILT: u64 = 1 << 62;
    if id < 0 { BUILT + id.unsigned_abs() } else { id.unsigned_abs() }
}

pub(super) fn inside(frame: &Frame) -> layout::Frame {
    layout::Frame { width: frame.width, depth: frame.depth, height: frame.height }
}

/// What an item is for, by its type.
fn use_of(thing: &Thing) -> Use {
    let what = folded(&thing.details.what);
    let has = |words: &[&str]| first_word(&what, words).is_some();
    if has(&["curtain rod", "tank", "pipe", "line", "gauge", "valve"]) {
        return Use::Other;
    }
    if has(&["wastebasket", "waste basket", "trash can"]) {
        return Use::Basket;
    }
    if has(&["curtain", "curtains", "drape", "drapes", "drapery"]) {
        return Use::Curtain;
    }
    if has(&["carpet"]) {
        return Use::Carpet;
    }
    if has(&["catch board"]) {
        return Use::CatchBoard;
    }
    if has(&["fuse hole"]) {
        return Use::FuseHole;
    }
    if has(&["smoke alarm", "smoke detector"]) {
        return Use::Alarm;
    }
    if has(&["sprinkler", "sprinkler head"]) {
        return Use::Sprinkler;
    }
    if has(&["clear panel", "acrylic panel", "polycarbonate panel", "viewing panel"]) {
        let details = &thing.details;
        let told =
            folded(&[details.model.as_str(), &details.material, &details.condition, &details.position].join(" / "));
        let says = |words: &[&str]| first_word(&told, words).is_some();
        let fastened = if says(&["quick release", "quick-release", "latch", "latches"]) {
            Fastening::QuickRelease
        } else if says(&["screw", "screws", "screwed"]) {
            Fastening::Screwed
        } else {
            Fastening::Unknown
        };
        return Use::ClearPanel { fastened };
    }
    match thing.details.kind {
        Kind::Furnishing => Use::Fuel,
        Kind::Part => Use::Other,
    }
}

/// Furnishings are drawn, and of the building parts those that have a place of their own.
pub(super) fn is_drawn(thing: &Thing) -> bool {
    thing.details.quantity > 0 && (thing.details.kind == Kind::Furnishing || use_of(thing) != Use::Other)
}

/// The usual size in inches: across, from back to front, up; and its underside above the
/// floor, measured up from the floor or, if negative, down from the ceiling. Typical items,
/// from memory.
fn usual(what: Use, name: &str) -> ([f64; 3], f64) {
    let name = folded(name);
    let has = |words: &[&str]| first_word(&name, words).is_some();
    match what {
        Use::Basket => ([12.0, 12.0, 13.0], 0.0),
        Use::Curtain => ([40.0, 3.0, 83.0], 1.0),
        Use::Carpet => ([96.0, 96.0, 0.5], 0.0),
        Use::CatchBoard => ([96.0, 48.0, 0.75], 0.0),
        Use::FuseHole => ([3.0, 1.0, 3.0], 12.0),
        Use::Alarm => ([5.0, 5.0, 2.0], -2.0),
        Use::Sprinkler => ([2.0, 2.0, 2.0], -3.0),
        Use::ClearPanel { .. } => ([96.0, 0.25, 48.0], -48.0),
        Use::Fuel | Use::Other if has(&["sofa", "couch"]) => ([76.0, 35.0, 34.0], 0.0),
        Use::Fuel | Use::Other if has(&["armchair", "recliner", "chair"]) => ([32.0, 34.0, 36.0], 0.0),
        Use::Fuel | Use::Other if has(&["bed", "mattress"]) => ([60.0, 80.0, 24.0], 0.0),
        Use::Fuel | Use::Other if has(&["rug"]) => ([63.0, 91.0, 0.5], 0.0),
        Use::Fuel | Use::Other if has(&["table"]) => ([40.0, 22.0, 18.0], 0.0),
        Use::Fuel | Use::Other if has(&["lamp"]) => ([14.0, 14.0, 58.0], 0.0),
        Use::Fuel | Use::Other if has(&["bookcase", "shelf"]) => ([31.0, 12.0, 70.0], 0.0),
        Use::Fuel | Use::Other if has(&["book", "books"]) => ([28.0, 9.0, 10.0], 0.0),
        Use::Fuel | Use::Other if has(&["houseplant", "plant"]) => ([14.0, 14.0, 35.0], 0.0),
        Use::Fuel | Use::Other if has(&["picture", "poster", "mirror", "clock"]) => ([24.0, 1.0, 20.0], 50.0),
        Use::Fuel | Use::Other => ([16.0, 16.0, 16.0], 0.0),
    }
}

/// An item's box, and whether its size was guessed. Without a place it is in the middle.
pub(super) fn box_of(frame: &Frame, thing: &Thing, place: Option<Place>) -> (Placed, bool) {
    let what = use_of(thing);
    let ([across, along, up], above) = usual(what, &thing.details.what);
    let known = thing.details.size.lengths.map(|length| length.map(|tenths| f64::from(tenths) / 10_000.0));
    let hangs = first_word(&folded(&thing.details.what), &["picture", "poster", "mirror", "television", "clock"]);
    let is_flat = matches!(what, Use::Curtain | Use::ClearPanel { .. }) || hangs.is_some();
    // Two lengths of something that hangs are its width and its height.
    let (width, depth, height) = match known {
        [Some(width), Some(height), None] if is_flat => (width, along * INCH, height),
        // Of something tall, one length is its height.
        [Some(height), None, None] if up > across => (across * INCH, along * INCH, height),
        [width, depth, height] => {
            (width.unwrap_or(across * INCH), depth.unwrap_or(along * INCH), height.unwrap_or(up * INCH))
        }
    };
    let above = if above < 0.0 { frame.height + above * INCH } else { above * INCH };
    let (x, y, above, turn) = match place {
        Some(place) => (place.x, place.y, place.above, place.turn),
        None => (frame.width / 2.0, frame.depth / 2.0, above.max(0.0), 0.0),
    };
    let id = number(thing.id);
    (Placed { id, what, x, y, width, depth, height, above, turn }, known[0].is_none())
}
