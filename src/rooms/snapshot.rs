//! Everything about an event's two rooms, and how well they match.

use super::hazards::{self, Warning};
use super::store::{self, DonationRequest, RoomSettings, Ruling};
use super::{Details, Kind, Room, Source, Thing, ThingState, grouped};
use crate::calc::pairs::{self, Aspect, Fairness, Grade, Pairing};
use crate::error::Result;
use crate::events::Event;
use crate::gifts::{self, Gift, GiftState};
use crate::web::words;
use sqlx::SqliteConnection;
use std::collections::HashMap;
use time::Date;

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
        hazards::warnings(&self.things)
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

    /// Was it fair? In a sentence to say aloud.
    pub fn sentence(&self) -> String {
        let pairs: Vec<Paired> = self.pairs().filter(|pair| pair.a.details.kind == Kind::Furnishing).collect();
        let orphans: Vec<Orphan> =
            self.orphans().filter(|orphan| orphan.thing.details.kind == Kind::Furnishing).collect();
        sentence(self.fairness(Kind::Furnishing), &pairs, &orphans)
    }

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

    /// How well the building parts match, in a sentence.
    pub fn built(&self) -> String {
        let fair = self.fairness(Kind::Part);
        let unsaid = match self.uncounted() {
            0 => String::new(),
            some => format!(" {} no count yet.", words::count(some, "part has", "parts have")),
        };
        let match_says = match (fair.things(), fair.orphans(), fair.of(Grade::Alike)) {
            (0, ..) => return format!("No building parts are counted yet.{unsaid}"),
            (all, 0, 0) => format!("Both rooms are built the same: all {} parts are paired.", grouped(all)),
            (all, orphans, alike) => {
                let mut parts =
                    vec![format!("{} of {} building parts are paired", grouped(fair.paired()), grouped(all))];
                if alike > 0 {
                    parts.push(format!("{} only similar", counted(alike, "pair is", "pairs are")));
                }
                if orphans > 0 {
                    parts.push(format!("{} in one room only", counted(orphans, "part is", "parts are")));
                }
                format!("{}.", parts.join("; "))
            }
        };
        format!("{match_says}{unsaid}")
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

    /// The same in a sentence.
    pub fn stands(&self) -> String {
        let Placed { pairs, here, in_place } = self.placed();
        let pairs = counted(pairs, "pair", "pairs");
        format!("Of {pairs}, {} on hand, {} of them in place.", counted(here, "is", "are"), grouped(in_place))
    }

    /// The gift an item comes from.
    pub fn gift(&self, thing: &Thing) -> Option<&Gift> {
        thing.details.gift_id.and_then(|id| self.gifts.get(&id))
    }

    pub fn find(&self, id: i64) -> Option<&Thing> {
        self.things.iter().find(|thing| thing.id == id)
    }

    pub fn today(&self, now: time::OffsetDateTime) -> Date {
        self.event.today(now)
    }
}

fn compared(things: &[Thing]) -> Vec<pairs::Thing> {
    things.iter().map(|thing| thing.details.compared()).collect()
}

/// "1 pair", "1,200 pairs".
fn counted(number: u32, one: &str, many: &str) -> String {
    words::count(usize::try_from(number).unwrap_or(usize::MAX), one, many)
}

/// A grade, as people read it.
pub(super) fn grade(grade: Grade) -> &'static str {
    match grade {
        Grade::Model => "same model",
        Grade::TypeAndMaterial => "same type and material",
        Grade::Alike => "similar",
    }
}

/// A grade, as a page marks it.
pub(super) fn grade_mark(grade: Grade) -> &'static str {
    match grade {
        Grade::Model => "same-model",
        Grade::TypeAndMaterial => "same-material",
        Grade::Alike => "alike",
    }
}

/// What differs between two items, as a page marks it.
pub(super) fn aspects(differs: &[Aspect]) -> String {
    differs.iter().map(|differs| aspect(*differs)).collect::<Vec<_>>().join(" ")
}

pub(super) fn aspect(aspect: Aspect) -> &'static str {
    match aspect {
        Aspect::Material => "material",
        Aspect::Size => "size",
        Aspect::Model => "model",
        Aspect::Condition => "condition",
        Aspect::Position => "position",
    }
}

fn sentence(fair: Fairness, pairs: &[Paired], orphans: &[Orphan]) -> String {
    let (things, paired) = (fair.things(), fair.paired());
    if things == 0 {
        return "Both rooms are empty.".to_owned();
    }
    let count = match (paired, things) {
        (2, 2) => "Both items are paired".to_owned(),
        (paired, things) if paired == things => format!("All {} items are paired", grouped(things)),
        (paired, things) => format!("{} of {} items are paired", grouped(paired), grouped(things)),
    };
    let all: u32 = fair.pairs.iter().sum();
    let by_grade: Vec<String> = Grade::ALL
        .into_iter()
        .filter(|wanted| fair.of(*wanted) > 0)
        .map(|wanted| {
            let number = fair.of(wanted);
            let number = if number == all { "all".to_owned() } else { grouped(number) };
            match wanted {
                Grade::Model => format!("{number} of the same model"),
                Grade::TypeAndMaterial => format!("{number} of the same type and material"),
                Grade::Alike => format!("{number} only similar"),
            }
        })
        .collect();
    let grades = match (all, by_grade.as_slice()) {
        (0, _) => String::new(),
        (1, [only]) => format!(": one pair, {}", only.trim_start_matches("all ")),
        (_, [only]) => format!(": {} pairs, {only}", grouped(all)),
        (_, _) => format!(": {} pairs, {}", grouped(all), by_grade.join(", ")),
    };
    format!("{count}{grades}. {}", worst(fair, pairs, orphans))
}

/// What a critic would point at first.
fn worst(fair: Fairness, pairs: &[Paired], orphans: &[Orphan]) -> String {
    if let Some(first) = orphans.first() {
        let details = &first.thing.details;
        let others = fair.orphans() - first.quantity;
        let others = match others {
            0 => String::new(),
            more => format!(" {} in one room only.", counted(more, "other item is", "other items are")),
        };
        let what = match first.quantity {
            1 => format!("the {}", details.what),
            many => format!("{many} × {}", details.what),
        };
        let (has, lacks) = (details.room, words::capital(details.room.other().as_str()));
        return format!("{lacks} has nothing like {what} in {has}.{others}");
    }
    match pairs.first() {
        Some(pair) if pair.differs.is_empty() => "There is no known difference.".to_owned(),
        Some(pair) => {
            let differs: Vec<&str> = pair.differs.iter().map(|differs| aspect(*differs)).collect();
            format!("The biggest difference: the {}, in {}.", pair.a.details.what, words::and(&differs))
        }
        None => String::new(),
    }
}
