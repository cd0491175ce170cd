//! A guest's place in the order of introductions.

use super::guest::Side;
use super::record::GuestRecord;
use super::snapshot::GuestSnapshot;
use crate::calc::precedence::Placed;
use time::Date;

/// A guest's place among everyone expected, counting them in even if they aren't.
pub(super) fn placed(snapshot: &GuestSnapshot, known: &GuestRecord, on: Date) -> Option<Placed> {
    let id = known.guest.id;
    let order = snapshot.order(on, |other| other.guest.id == id || other.is_counted_on(on));
    order.into_iter().find(|placed| snapshot.guests[placed.of].guest.id == id)
}

/// A guest's place in the order, as numbers.
#[derive(Debug, Default)]
pub(super) struct Order {
    pub place: usize,
    /// The place the rules alone would give.
    pub by_rule: usize,
    /// The office's place on the department's list; 0 if it isn't there.
    pub rank: usize,
}

impl Order {
    pub fn of(snapshot: &GuestSnapshot, known: &GuestRecord, placed: &Placed) -> Self {
        let offices = &snapshot.settings.offices;
        let rank = snapshot.office(known).and_then(|office| offices.iter().position(|other| other.id == office.id));
        Self { place: placed.place, by_rule: placed.by_rule, rank: rank.map_or(0, |rank| rank + 1) }
    }
}

/// How the order treats an official's jurisdiction; empty for other guests.
pub(super) fn home(snapshot: &GuestSnapshot, known: &GuestRecord) -> &'static str {
    match (known.guest.details.side, snapshot.is_own(known)) {
        (Side::Official, true) if snapshot.office(known).is_some_and(|office| office.is_host) => "host",
        (Side::Official, true) => "own",
        (Side::Official, false) => "visiting",
        (Side::Sponsor | Side::Partner, _) => "",
    }
}
