//! What is drawn: the items of the lists with their places and sizes, and what the checks
//! say.

use super::Measured;
use super::fixture::Fixture;
use super::says::{self, Said};
use super::store::{self, Built, Frame, Place};
use crate::calc::layout::{self, Fastening, Placed, Protection, Use};
use crate::calc::pairs::{first_word, folded};
use crate::calc::site::INCH;
use crate::error::Result;
use crate::rooms::snapshot::RoomSnapshot;
use crate::rooms::{Kind, Room, Thing, ThingState};
use sqlx::SqliteConnection;
use std::collections::HashMap;

/// Everything the pages of the drawn rooms need.
pub(in crate::rooms) struct Known {
    pub snapshot: RoomSnapshot,
    pub frame: Option<Frame>,
    pub places: HashMap<i64, Place>,
    pub fixtures: HashMap<i64, Built>,
}

impl Drawable {
    /// What it is called where the room isn't clear: "Armchair, room A".
    pub fn in_full(&self) -> String {
        format!("{}, {}", self.called, self.room)
    }
}

/// An item that can be drawn.
#[derive(Debug, Clone)]
pub(super) struct Drawable {
    pub id: i64,
    pub room: Room,
    pub called: String,
    pub state: ThingState,
    pub box_: Placed,
    /// Its size isn't on the list, so a usual one is drawn.
    pub is_guessed: bool,
    /// None until it is placed.
    pub place: Option<Place>,
    /// What it is, if it is built and on no list.
    pub fixture: Option<(Fixture, Built)>,
}

impl Known {
    pub async fn load(db: &mut SqliteConnection, snapshot: RoomSnapshot) -> Result<Self> {
        let id = snapshot.event.id;
        Ok(Self {
            frame: store::frame(db, id).await?,
            places: store::places(db, id).await?,
            fixtures: store::fixtures(db, id).await?,
            snapshot,
        })
    }

    /// What can be drawn in a room, with its place or the one it would get.
    pub(super) fn drawable(&self, frame: &Frame, room: Room) -> Vec<Drawable> {
        let things = self.snapshot.things.iter().filter(|thing| thing.details.room == room && is_drawn(thing));
        let one = |thing: &Thing| {
            let place = self.places.get(&thing.id).copied();
            let (box_, is_guessed) = drawn(frame, thing, place);
            Drawable {
                id: thing.id,
                room,
                called: crate::web::words::capital(&thing.details.says()),
                state: self.snapshot.state(thing),
                box_,
                is_guessed,
                place,
                fixture: None,
            }
        };
        let built = Fixture::of(room).into_iter().filter(|fixture| fixture.fits(frame));
        let built = built.map(|fixture| self.built(frame, room, fixture));
        things.map(one).chain(built).collect()
    }

    fn built(&self, frame: &Frame, room: Room, fixture: Fixture) -> Drawable {
        let id = fixture.number(room);
        let known = self.fixtures.get(&id).cloned();
        let place = known.as_ref().map(|built| built.place);
        let built = known.unwrap_or_else(|| fixture.usually(room, fixture.usual(frame, self.basket(frame, room))));
        Drawable {
            id,
            room,
            called: fixture.called().to_owned(),
            state: if built.is_built { ThingState::Here } else { ThingState::Wanted },
            box_: fixture.drawn(frame, number(id), &built.place, &built.held),
            is_guessed: false,
            place,
            fixture: Some((fixture, built)),
        }
    }

    /// The middle of the wastebasket, from the left wall.
    pub(super) fn basket(&self, frame: &Frame, room: Room) -> Option<f64> {
        let things = self.snapshot.things.iter().filter(|thing| thing.details.room == room && is_drawn(thing));
        let mut boxes = things.filter_map(|thing| Some(drawn(frame, thing, Some(*self.places.get(&thing.id)?)).0));
        boxes.find(|box_| box_.what == Use::Basket).map(|box_| box_.x)
    }

    /// The boxes of what is placed in a room.
    fn placed(&self, frame: &Frame, room: Room) -> Vec<Placed> {
        self.drawable(frame, room).into_iter().filter(|one| one.place.is_some()).map(|one| one.box_).collect()
    }

    /// From the basket to the head and to the alarm, in both rooms.
    pub(super) fn reaches(&self, frame: &Frame) -> Vec<(Room, &'static str, layout::Reach)> {
        let of = |room: Room| {
            let found = layout::fire_distances(&self.placed(frame, room));
            let both = found.map(|found| [("sprinkler head", found.sprinkler), ("smoke alarm", found.alarm)]);
            let both = both.into_iter().flatten();
            both.filter_map(move |(what, reach)| Some((room, what, reach?))).collect::<Vec<_>>()
        };
        Room::ALL.into_iter().flat_map(of).collect()
    }

    /// Of each pair, the numbers of both items.
    fn pairs(&self) -> Vec<(u64, u64)> {
        let drawn = self.snapshot.pairs().filter(|pair| is_drawn(pair.a) && is_drawn(pair.b));
        let built = [Fixture::Carpet, Fixture::FuseHole, Fixture::ClearPanel]
            .into_iter()
            .map(|fixture| (number(fixture.number(Room::A)), number(fixture.number(Room::B))));
        let drawn = drawn.map(|pair| (number(pair.a.id), number(pair.b.id)));
        drawn.chain(built).collect()
    }

    /// The item of the other room that an item is paired with.
    pub(super) fn twin(&self, id: i64) -> Option<i64> {
        if id < 0 {
            return None;
        }
        self.snapshot.pairs().find_map(|pair| match (pair.a.id == id, pair.b.id == id) {
            (true, _) => Some(pair.b.id),
            (_, true) => Some(pair.a.id),
            _ => None,
        })
    }

    /// What the checks say of both rooms; nothing without a frame or without anything placed.
    pub(super) fn findings(&self) -> Vec<Said> {
        let Some(frame) = self.frame.filter(|_| !self.places.is_empty() || !self.fixtures.is_empty()) else {
            return Vec::new();
        };
        let inside = inside(&frame);
        let name = |id: u64| self.name(id);
        let mut all = Vec::new();
        for (room, protection) in [(Room::A, Protection::Unprotected), (Room::B, Protection::Sprinklered)] {
            let placed = self.placed(&frame, room);
            let found = layout::check(protection, &inside, &placed);
            all.extend(found.iter().map(|finding| says::one(room, finding, &name)));
        }
        all.extend(says::alike(&self.likeness(&frame), &name));
        all.sort_by_key(|said| said.grade);
        all
    }

    /// What an item is called within a sentence.
    fn name(&self, id: u64) -> String {
        let listed = self.snapshot.things.iter().find(|thing| number(thing.id) == id);
        let built = || {
            Room::ALL
                .into_iter()
                .find_map(|room| Fixture::of(room).into_iter().find(|fixture| number(fixture.number(room)) == id))
        };
        match listed {
            Some(thing) => thing.details.what.clone(),
            None => built().map(|fixture| fixture.called().to_lowercase()).unwrap_or_default(),
        }
    }

    pub(super) fn likeness(&self, frame: &Frame) -> layout::Likeness {
        let (a, b) = (self.placed(frame, Room::A), self.placed(frame, Room::B));
        layout::alike(&a, &b, &self.pairs(), layout::PLACE_TOLERANCE, &inside(frame))
    }
}

/// Pairs that stand elsewhere in the other room, in words, for the pair audit.
pub(in crate::rooms) fn moved(known: &Known) -> Vec<Said> {
    let Some(frame) = known.frame else { return Vec::new() };
    if known.places.is_empty() {
        return Vec::new();
    }
    says::alike(&known.likeness(&frame), &|id| known.name(id))
}

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
fn is_drawn(thing: &Thing) -> bool {
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
pub(super) fn drawn(frame: &Frame, thing: &Thing, place: Option<Place>) -> (Placed, bool) {
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

/// What the drawing measures for the fire estimate.
pub(super) fn measured(known: &Known, frame: &Frame) -> Measured {
    let of = |room: Room| layout::fire_distances(&known.placed(frame, room));
    // The sprinkler is in room B; the alarm is asked of room A first, where nothing stops the
    // fire.
    let (a, b) = (of(Room::A), of(Room::B));
    let alarm = a.and_then(|found| found.alarm).or(b.and_then(|found| found.alarm));
    Measured {
        width: frame.width,
        depth: frame.depth,
        height: frame.height,
        panel: known.fixtures.contains_key(&Fixture::ClearPanel.number(Room::A)).then_some(frame.panels),
        sprinkler: b.and_then(|found| found.sprinkler).map(|reach| reach.distance),
        alarm: alarm.map(|reach| reach.distance),
    }
}
