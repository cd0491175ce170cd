//! Pairs, and items without a match, line by line.

use super::collecting::days_left;
use super::grades::{aspect, grade, grade_mark};
use super::snapshot::{Orphan, Paired, RoomSnapshot};
use super::{Kind, Room, Source, Thing, warnings};
use crate::calc::pairs::{Aspect, Grade};
use crate::web::words;
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

fn named(quantity: u32, what: &str) -> String {
    if quantity == 1 { words::capital(what) } else { format!("{quantity} × {what}") }
}

impl PairLine {
    pub fn of(snapshot: &RoomSnapshot, pair: &Paired) -> Self {
        let counts = pair.differs.iter().filter(|differs| **differs != Aspect::Position);
        let warned = |thing: &Thing| !warnings::of(&thing.details).is_empty();
        Self {
            what: named(pair.quantity, &pair.a.details.what),
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
        what: named(quantity, &thing.details.what),
        href: thing.href(),
        side: Side::of(snapshot, thing),
        missing_in: thing.details.room.other(),
        days_left: days_left(snapshot.event.details.burn_on, today),
    };
    snapshot.orphans().filter(|orphan| orphan.thing.details.kind == kind).map(line).collect()
}
