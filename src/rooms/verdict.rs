//! How well the rooms match, in numbers.

use super::grades::aspects;
use super::snapshot::{Paired, RoomSnapshot};
use super::{Kind, Room, ThingState};
use crate::calc::pairs::Grade;

/// The numbers behind the sentence about the rooms.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Verdict {
    pub things: u32,
    pub paired: u32,
    /// Pairs, by grade.
    pub same_model: u32,
    pub same_material: u32,
    pub alike: u32,
    /// What a critic would point at first; empty if there is no known difference.
    pub worst: String,
    /// The room without a match for it,
    pub missing_in: Option<Room>,
    /// or what differs.
    pub differs: String,
}

/// How many pairs of furnishings are on hand and in place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Placed {
    pub pairs: u32,
    pub here: u32,
    pub in_place: u32,
}

impl RoomSnapshot {
    /// The same for items of one kind, in numbers.
    pub fn verdict(&self, kind: Kind) -> Verdict {
        let fair = self.fairness(kind);
        let orphan = self.orphans().map(|orphan| &orphan.thing.details).find(|details| details.kind == kind);
        let worst = self.pairs().find(|pair| pair.a.details.kind == kind);
        let pair = worst.filter(|pair| !pair.differs.is_empty());
        let (worst, missing_in, differs) = match (orphan, pair) {
            (Some(details), _) => (details.what.clone(), Some(details.room.other()), String::new()),
            (None, Some(pair)) => (pair.a.details.what.clone(), None, aspects(pair.differs)),
            (None, None) => (String::new(), None, String::new()),
        };
        Verdict {
            things: fair.things(),
            paired: fair.paired(),
            same_model: fair.of(Grade::Model),
            same_material: fair.of(Grade::TypeAndMaterial),
            alike: fair.of(Grade::Alike),
            worst,
            missing_in,
            differs,
        }
    }

    /// Lines of building parts without a count.
    pub fn uncounted(&self) -> usize {
        self.things.iter().filter(|thing| thing.details.kind == Kind::Part && thing.details.quantity == 0).count()
    }

    /// How many pairs of furnishings are on hand, and how many are in place.
    pub fn placed(&self) -> Placed {
        let furnishings: Vec<Paired> = self.pairs().filter(|pair| pair.a.details.kind == Kind::Furnishing).collect();
        let at_least = |state| {
            let these = furnishings.iter().filter(|pair| self.pair_state(pair) >= state);
            these.map(|pair| pair.quantity).sum::<u32>()
        };
        Placed {
            pairs: at_least(ThingState::Wanted),
            here: at_least(ThingState::Here),
            in_place: at_least(ThingState::InPlace),
        }
    }
}
