//! Everything about an event's two rooms, and how well they match.

use super::store::{self, DonationRequest, RoomSettings, Ruling};
use super::warnings::{self, Warning};
use super::{Details, Kind, Room, Source, Thing, ThingState};
use crate::calc::pairs::{self, Aspect, Fairness, Grade, Pairing};
use crate::error::Result;
use crate::events::Event;
use crate::gifts::{self, Gift, GiftState};
use sqlx::SqliteConnection;
use std::collections::HashMap;
use time::{Date, OffsetDateTime};

pub(super) struct RoomSnapshot {
    pub event: Event,
    pub things: Vec<Thing>,
    pub settings: RoomSettings,
    pub rulings: Vec<Ruling>,
    pub gifts: HashMap<i64, Gift>,
    pub donations: Vec<DonationRequest>,
    a: Vec<Thing>,
    b: Vec<Thing>,
    pairing: Pairing,
}

/// An item of each room, paired.
pub(super) struct Paired<'a> {
    pub a: &'a Thing,
    pub b: &'a Thing,
    pub quantity: u32,
    pub grade: Grade,
    pub differs: &'a [Aspect],
}

/// An item without a match in the other room.
#[derive(Clone, Copy)]
pub(super) struct Orphan<'a> {
    pub thing: &'a Thing,
    pub quantity: u32,
}

impl RoomSnapshot {
    pub async fn load(db: &mut SqliteConnection, event: &Event) -> Result<Self> {
        let things = store::of_event(db, event.id).await?;
        let settings = store::settings(db, event.id).await?;
        let rulings = store::rulings(db, event.id).await?;
        let gifts = gifts::of_event(db, event.id).await?.into_iter().map(|gift| (gift.id, gift)).collect();
        let donations = store::donations(db, event.id).await?;
        Ok(Self::of(event.clone(), things, settings, rulings, gifts, donations))
    }

    fn of(
        event: Event,
        things: Vec<Thing>,
        settings: RoomSettings,
        rulings: Vec<Ruling>,
        gifts: HashMap<i64, Gift>,
        donations: Vec<DonationRequest>,
    ) -> Self {
        let room = |room| things.iter().filter(|thing| thing.details.room == room).cloned().collect::<Vec<_>>();
        let (a, b) = (room(Room::A), room(Room::B));
        let pairing = pairs::pair(&compared(&a), &compared(&b), settings.tolerance());
        Self { event, things, settings, rulings, gifts, donations, a, b, pairing }
    }

    /// All pairs, the worst first.
    pub fn pairs(&self) -> impl Iterator<Item = Paired<'_>> {
        self.pairing.pairs.iter().map(|pair| Paired {
            a: &self.a[pair.a],
            b: &self.b[pair.b],
            quantity: pair.quantity,
            grade: pair.grade,
            differs: &pair.differs,
        })
    }

    pub fn orphans(&self) -> impl Iterator<Item = Orphan<'_>> {
        fn alone<'a>(of: &'a [Thing], lines: &'a [(usize, u32)]) -> impl Iterator<Item = Orphan<'a>> {
            lines.iter().map(|(line, quantity)| Orphan { thing: &of[*line], quantity: *quantity })
        }
        alone(&self.a, &self.pairing.only_a).chain(alone(&self.b, &self.pairing.only_b))
    }

    pub fn fairness(&self, kind: Kind) -> Fairness {
        let kind = Details::of(Room::A, kind, "").compared().kind;
        self.pairing.fairness(&compared(&self.a), &compared(&self.b), kind)
    }

    /// The status of an item. A gift that came or fell through changes it.
    pub fn state(&self, thing: &Thing) -> ThingState {
        let gift =
            thing.details.gift_id.and_then(|id| self.gifts.get(&id)).filter(|_| thing.details.source == Source::Gift);
        let state = thing.details.state;
        match gift.map(|gift| gift.details.status.state()) {
            Some(GiftState::Received) if state < ThingState::Here => ThingState::Here,
            Some(GiftState::Promised) if state == ThingState::Wanted => ThingState::Promised,
            Some(GiftState::NotComing) if state == ThingState::Promised => ThingState::Wanted,
            _ => state,
        }
    }

    /// The status of a pair: the earlier one of the two.
    pub fn pair_state(&self, pair: &Paired) -> ThingState {
        self.state(pair.a).min(self.state(pair.b))
    }

    pub fn warnings(&self) -> Vec<Warning<'_>> {
        warnings::warnings(&self.things)
    }

    /// The decision about it, unless more items were added since.
    pub fn ruling(&self, warning: &Warning) -> Option<&Ruling> {
        self.rulings.iter().find(|ruling| {
            (ruling.hazard, &ruling.what) == (warning.hazard, &warning.key) && ruling.quantity >= warning.quantity()
        })
    }

    pub fn undecided(&self) -> usize {
        self.undecided_items().len()
    }

    /// The type of item of each warning without a decision.
    pub fn undecided_items(&self) -> Vec<String> {
        let warnings = self.warnings();
        let open = warnings.iter().filter(|warning| self.ruling(warning).is_none());
        open.filter_map(|warning| Some(warning.things.first()?.details.what.clone())).collect()
    }

    /// The gift an item comes from.
    pub fn gift(&self, thing: &Thing) -> Option<&Gift> {
        thing.details.gift_id.and_then(|id| self.gifts.get(&id))
    }

    pub fn find(&self, id: i64) -> Option<&Thing> {
        self.things.iter().find(|thing| thing.id == id)
    }

    pub fn today(&self, now: OffsetDateTime) -> Date {
        self.event.today(now)
    }
}

fn compared(things: &[Thing]) -> Vec<pairs::Thing> {
    things.iter().map(|thing| thing.details.compared()).collect()
}
