//! The pages about the rooms, line by line.

use super::form::ThingForm;
use super::hazards::{self, Because, Warning};
use super::snapshot::{Orphan, Paired, Placed, RoomSnapshot, Verdict, aspect, aspects, grade, grade_mark};
use super::{Kind, Room, Source, Thing, ThingState, days_left, grouped};
use crate::calc::pairs::{Aspect, Grade};
use crate::people::Name;
use crate::web::fold::Fold;
use crate::web::form::Mistakes;
use crate::web::history::HistoryLine;
use crate::web::page::Page;
use crate::web::words::{self, Reader};
use askama::Template;
use time::Date;

/// An item beside its match.
#[derive(Debug)]
pub(super) struct Side {
    pub room: Room,
    pub href: String,
    /// Model, material, size.
    pub described: String,
    pub position: String,
    pub condition: String,
    pub state: String,
    pub from: String,
    pub photo_id: Option<i64>,
}

impl Side {
    pub fn of(snapshot: &RoomSnapshot, thing: &Thing) -> Self {
        let details = &thing.details;
        let from = match (details.source, details.by_whom.as_str()) {
            (Source::Unknown, "") => String::new(),
            (Source::Unknown, whom) => whom.to_owned(),
            (source, "") => source.to_string(),
            (source, whom) => format!("{source}, {whom}"),
        };
        let described = details.described();
        Self {
            room: details.room,
            href: thing.href(),
            described: if described.is_empty() { "no model, material or size given".to_owned() } else { described },
            position: details.position.clone(),
            condition: details.condition.clone(),
            state: snapshot.state(thing).label().to_owned(),
            from,
            photo_id: thing.photo_id,
        }
    }

    /// "in place · gift, Fairweather Furniture".
    pub fn stands(&self) -> String {
        let parts = [self.state.as_str(), &self.condition, &self.from];
        parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" · ")
    }
}

/// A pair on one line.
#[derive(Debug)]
pub(super) struct PairLine {
    pub what: String,
    pub sign: &'static str,
    pub grade: &'static str,
    /// What differs, other than the position; may be empty.
    pub differs: String,
    /// The position differs.
    pub is_elsewhere: bool,
    pub sides: [Side; 2],
    pub warned: bool,
}

/// A shape for each grade: color never stands alone.
fn sign(grade: Grade) -> &'static str {
    match grade {
        Grade::Model => "done",
        Grade::TypeAndMaterial => "waiting",
        Grade::Alike => "risk",
    }
}

fn counted(quantity: u32, what: &str) -> String {
    if quantity == 1 { words::capital(what) } else { format!("{quantity} × {what}") }
}

impl PairLine {
    pub fn of(snapshot: &RoomSnapshot, pair: &Paired) -> Self {
        let counts = pair.differs.iter().filter(|differs| **differs != Aspect::Position);
        let warned = |thing: &Thing| !hazards::of(&thing.details).is_empty();
        Self {
            what: counted(pair.quantity, &pair.a.details.what),
            sign: sign(pair.grade),
            grade: grade(pair.grade),
            differs: counts.map(|differs| aspect(*differs)).collect::<Vec<_>>().join(", "),
            is_elsewhere: pair.differs.contains(&Aspect::Position),
            sides: [Side::of(snapshot, pair.a), Side::of(snapshot, pair.b)],
            warned: warned(pair.a) || warned(pair.b),
        }
    }
}

/// Pairs of one grade.
#[derive(Debug)]
pub(super) struct Group {
    pub grade: &'static str,
    pub heading: &'static str,
    pub lines: Vec<PairLine>,
}

impl Group {
    /// Its heading within a line.
    pub fn small(&self) -> String {
        self.heading.to_lowercase()
    }
}

/// The pairs of one kind by grade, the worst first.
pub(super) fn groups(snapshot: &RoomSnapshot, kind: Kind) -> Vec<Group> {
    let headings =
        [(Grade::Alike, "Similar"), (Grade::TypeAndMaterial, "Same type and material"), (Grade::Model, "Same model")];
    let group = |(wanted, heading)| {
        let pairs = snapshot.pairs().filter(|pair| pair.grade == wanted && pair.a.details.kind == kind);
        Group { grade: grade_mark(wanted), heading, lines: pairs.map(|pair| PairLine::of(snapshot, &pair)).collect() }
    };
    headings.into_iter().map(group).filter(|group| !group.lines.is_empty()).collect()
}

/// An item without a match.
#[derive(Debug)]
pub(super) struct OrphanLine {
    pub what: String,
    pub href: String,
    pub side: Side,
    pub missing_in: Room,
    pub days_left: String,
}

pub(super) fn orphans(snapshot: &RoomSnapshot, kind: Kind, today: Date) -> Vec<OrphanLine> {
    let line = |Orphan { thing, quantity }: Orphan| OrphanLine {
        what: counted(quantity, &thing.details.what),
        href: thing.href(),
        side: Side::of(snapshot, thing),
        missing_in: thing.details.room.other(),
        days_left: days_left(snapshot.event.details.burn_on, today),
    };
    snapshot.orphans().filter(|orphan| orphan.thing.details.kind == kind).map(line).collect()
}

#[derive(Template)]
#[template(path = "rooms/index.html")]
pub(super) struct Index {
    pub page: Page,
    pub event_id: i64,
    pub is_empty: bool,
    pub fair: Verdict,
    pub sentence: String,
    pub placed: Placed,
    pub status: String,
    pub tolerance: String,
    pub orphans: Vec<OrphanLine>,
    pub groups: Vec<Group>,
    pub parts: Verdict,
    pub uncounted: usize,
    pub built: String,
    /// The types of items.
    pub undecided: Vec<String>,
}

/// "5% of the larger size or 2.5 cm (1 in), whichever is more".
pub(super) fn tolerance(snapshot: &RoomSnapshot) -> String {
    format!("{}% of the larger size or {}, whichever is more", snapshot.settings.percent, snapshot.settings.length)
}

#[derive(Template)]
#[template(path = "rooms/thing.html")]
pub(super) struct ThingPage {
    pub page: Page,
    pub event_id: i64,
    pub thing: Thing,
    pub title: String,
    pub state: ThingState,
    pub facts: Vec<(&'static str, String)>,
    /// The gift it comes from: its address, and its name.
    pub gift: Option<(String, String)>,
    /// Its matches in the other room.
    pub matches: Vec<MatchLine>,
    pub warnings: Vec<WarningLine>,
    pub works: bool,
    /// The statuses it can be set to.
    pub states: Vec<ThingState>,
    /// Why a photo was refused; empty if none was.
    pub wrong: String,
    pub history: Vec<HistoryLine>,
}

/// The lines of an item's page.
pub(super) fn facts(thing: &Thing) -> Vec<(&'static str, String)> {
    let details = &thing.details;
    let count = if details.quantity == 0 { "not known yet".to_owned() } else { details.quantity.to_string() };
    let all = [
        ("Room", format!("{}, {}", details.room, details.room.has())),
        ("Kind", details.kind.to_string()),
        ("Quantity", count),
        ("Model", details.model.clone()),
        ("Material", details.material.clone()),
        ("Size", details.size.to_string()),
        ("Position", details.position.clone()),
        ("Condition", details.condition.clone()),
        ("Source", details.source.to_string()),
        ("Provided by", details.by_whom.clone()),
    ];
    all.into_iter().filter(|(_, text)| !text.is_empty()).collect()
}

/// An item's match in the other room, or that it has none.
#[derive(Debug)]
pub(super) struct MatchLine {
    /// The grade, as a mark.
    pub grade: &'static str,
    pub quantity: u32,
    /// What differs, as marks.
    pub differs: String,
    pub says: String,
}

pub(super) fn matches(snapshot: &RoomSnapshot, thing: &Thing) -> Vec<MatchLine> {
    let other = thing.details.room.other();
    let of_pair = |pair: Paired| {
        let mine = if thing.details.room == Room::A { pair.a } else { pair.b };
        if mine.id != thing.id {
            return None;
        }
        let differs: Vec<&str> = pair.differs.iter().map(|differs| aspect(*differs)).collect();
        let differs = if differs.is_empty() { String::new() } else { format!("; differs in {}", differs.join(", ")) };
        Some(MatchLine {
            grade: grade_mark(pair.grade),
            quantity: pair.quantity,
            differs: aspects(pair.differs),
            says: format!("{} in {other}: {}{differs}", grouped(pair.quantity), grade(pair.grade)),
        })
    };
    let alone = snapshot.orphans().filter(|orphan| orphan.thing.id == thing.id);
    let alone = alone.map(|orphan| MatchLine {
        grade: "none",
        quantity: orphan.quantity,
        differs: String::new(),
        says: format!("{} without a match in {other}", grouped(orphan.quantity)),
    });
    snapshot.pairs().filter_map(of_pair).chain(alone).collect()
}

#[derive(Template)]
#[template(path = "rooms/edit.html")]
pub(super) struct Edit {
    pub page: Page,
    pub heading: &'static str,
    pub action: String,
    pub is_new: bool,
    pub form: ThingForm,
    pub mistakes: Mistakes,
    /// Gifts in kind: number and name.
    pub gifts: Vec<(String, String)>,
    /// Statuses to choose from: as they are saved, and as people read them.
    pub states: Vec<(&'static str, &'static str)>,
    pub names: Vec<Name>,
}

impl Edit {
    /// The part with these fields.
    fn fold(&self, names: &[&str]) -> Fold {
        let usual = ThingForm::fresh("", "");
        Fold::compared(names, |name| self.form.value(name), |name| usual.value(name), &self.mistakes, false)
    }
}

/// A fuel warning, and the decision about it.
#[derive(Debug)]
pub(super) struct WarningLine {
    /// Its place in the list, for its form.
    pub number: usize,
    pub hazard: String,
    pub what: String,
    pub key: String,
    /// How many there are in each room, and the same in words.
    pub in_a: u32,
    pub in_b: u32,
    pub places: String,
    /// The word that triggered it; empty if someone checked the box.
    pub word: &'static str,
    pub because: String,
    pub basis: String,
    /// When it was decided, and for how many.
    pub decided_on: Option<Date>,
    pub decided_for: u32,
    pub decided: String,
    pub things: Vec<(String, String)>,
}

impl WarningLine {
    pub fn of(snapshot: &RoomSnapshot, number: usize, warning: &Warning, today: Date) -> Self {
        let ruling = snapshot.ruling(warning);
        let decided = ruling.map(|ruling| {
            let on = Reader::App.near_day(ruling.on, today);
            let items = words::count(usize::try_from(ruling.quantity).unwrap_or(usize::MAX), "item", "items");
            format!("{} Decided by {} on {on}, for {items}.", ended(&ruling.decided), ruling.says_by())
        });
        let things = warning
            .things
            .iter()
            .map(|thing| (format!("{} in {}", thing.details.says(), thing.details.room), thing.href()));
        Self {
            number,
            hazard: warning.hazard.to_string(),
            what: words::capital(warning.what),
            key: warning.key.clone(),
            in_a: warning.count(Room::A),
            in_b: warning.count(Room::B),
            places: warning.places(),
            word: match warning.because {
                Because::Ticked => "",
                Because::Word(word) => word,
            },
            because: match warning.because {
                Because::Ticked => "someone checked it on the item".to_owned(),
                Because::Word(word) => format!("its description says “{word}”"),
            },
            basis: warning.hazard.basis(),
            decided_on: ruling.map(|ruling| ruling.on),
            decided_for: ruling.map_or(0, |ruling| ruling.quantity),
            decided: decided.unwrap_or_default(),
            things: things.collect(),
        }
    }

    pub fn all(snapshot: &RoomSnapshot, today: Date) -> Vec<Self> {
        let mut lines: Vec<Self> = snapshot
            .warnings()
            .iter()
            .enumerate()
            .map(|(number, warning)| Self::of(snapshot, number, warning, today))
            .collect();
        lines.sort_by_key(|line| !line.decided.is_empty());
        lines
    }
}

fn ended(text: &str) -> String {
    if text.ends_with(['.', '!', '?']) { text.to_owned() } else { format!("{text}.") }
}
