//! What is drawn: the items of the lists with their places and sizes, and what the checks
//! say.

use super::boxes::{box_of, inside, is_drawn, number};
use super::fixture::Fixture;
use super::place::{Built, Frame, Place};
use super::said::Said;
use super::{says, store};
use crate::calc::layout::{self, Placed, Protection, Use};
use crate::error::Result;
use crate::rooms::snapshot::RoomSnapshot;
use crate::rooms::{Room, Thing, ThingState};
use crate::web::words::capital;
use sqlx::SqliteConnection;
use std::collections::HashMap;

/// Everything the pages of the drawn rooms need.
pub(in crate::rooms) struct LayoutSnapshot {
    pub rooms: RoomSnapshot,
    pub frame: Option<Frame>,
    pub places: HashMap<i64, Place>,
    pub fixtures: HashMap<i64, Built>,
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

impl Drawable {
    /// What it is called where the room isn't clear: "Armchair, room A".
    pub fn in_full(&self) -> String {
        format!("{}, {}", self.called, self.room)
    }
}

impl LayoutSnapshot {
    pub async fn load(db: &mut SqliteConnection, rooms: RoomSnapshot) -> Result<Self> {
        let id = rooms.event.id;
        Ok(Self {
            frame: store::frame(db, id).await?,
            places: store::places(db, id).await?,
            fixtures: store::fixtures(db, id).await?,
            rooms,
        })
    }

    /// What can be drawn in a room, with its place or the one it would get.
    pub(super) fn drawable(&self, frame: &Frame, room: Room) -> Vec<Drawable> {
        let things = self.rooms.things.iter().filter(|thing| thing.details.room == room && is_drawn(thing));
        let one = |thing: &Thing| {
            let place = self.places.get(&thing.id).copied();
            let (box_, is_guessed) = box_of(frame, thing, place);
            Drawable {
                id: thing.id,
                room,
                called: capital(&thing.details.says()),
                state: self.rooms.state(thing),
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
        let things = self.rooms.things.iter().filter(|thing| thing.details.room == room && is_drawn(thing));
        let mut boxes = things.filter_map(|thing| Some(box_of(frame, thing, Some(*self.places.get(&thing.id)?)).0));
        boxes.find(|box_| box_.what == Use::Basket).map(|box_| box_.x)
    }

    /// The boxes of what is placed in a room.
    pub(super) fn placed(&self, frame: &Frame, room: Room) -> Vec<Placed> {
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
        let drawn = self.rooms.pairs().filter(|pair| is_drawn(pair.a) && is_drawn(pair.b));
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
        self.rooms.pairs().find_map(|pair| match (pair.a.id == id, pair.b.id == id) {
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
        let listed = self.rooms.things.iter().find(|thing| number(thing.id) == id);
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
pub(in crate::rooms) fn moved(known: &LayoutSnapshot) -> Vec<Said> {
    let Some(frame) = known.frame else { return Vec::new() };
    if known.places.is_empty() {
        return Vec::new();
    }
    says::alike(&known.likeness(&frame), &|id| known.name(id))
}
