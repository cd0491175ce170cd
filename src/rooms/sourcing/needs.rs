//! What the rooms still need.

use crate::rooms::snapshot::RoomSnapshot;
use crate::rooms::store::DonationRequest;
use crate::rooms::{Details, Room, Thing, ThingState};

/// Something a room still needs.
pub(super) struct Need<'a> {
    /// The item that is needed, or the one that needs a match.
    pub thing: &'a Thing,
    pub is_like: bool,
    pub room: Room,
    pub quantity: u32,
}

/// The missing matches, then the items listed as needed.
pub(super) fn needs(snapshot: &RoomSnapshot) -> Vec<Need<'_>> {
    let likes = snapshot.orphans().map(|orphan| Need {
        thing: orphan.thing,
        is_like: true,
        room: orphan.thing.details.room.other(),
        quantity: orphan.quantity,
    });
    let is_wanted = |thing: &&Thing| snapshot.state(thing) == ThingState::Wanted && thing.details.quantity > 0;
    let wanted = snapshot.things.iter().filter(is_wanted).map(|thing| Need {
        thing,
        is_like: false,
        room: thing.details.room,
        quantity: thing.details.quantity,
    });
    likes.chain(wanted).collect()
}

impl Need<'_> {
    pub fn key(&self) -> String {
        format!("{}/{}", if self.is_like { "like" } else { "thing" }, self.thing.id)
    }

    pub fn what(&self) -> &str {
        &self.thing.details.what
    }

    /// "2 × curtain".
    pub fn says(&self) -> String {
        Details { quantity: self.quantity, ..self.thing.details.clone() }.says()
    }

    /// "like the one in room A: Glow 2, steel, 60 cm (23.6 in)"; may be empty.
    pub fn described(&self) -> String {
        let described = self.thing.details.described();
        let room = self.thing.details.room;
        match (self.is_like, described.is_empty()) {
            (true, true) => format!("like the one in {room}"),
            (true, false) => format!("like the one in {room}: {described}"),
            (false, _) => described,
        }
    }

    pub fn is_about(&self, donation: &DonationRequest) -> bool {
        (donation.new.thing_id, donation.new.is_like) == (Some(self.thing.id), self.is_like)
    }
}
