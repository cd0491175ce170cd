//! The guest list in groups: those whose next step is late, then by status.

use super::called::{deputy, headed, subtitle};
use super::next_step;
use super::record::GuestRecord;
use super::snapshot::GuestSnapshot;
use super::status::GuestStatus;
use crate::calc::calendar::Calendar;
use crate::web::words::Reader;
use time::{Date, Duration, OffsetDateTime};

/// One guest on one line.
#[derive(Debug)]
pub(super) struct Line {
    pub id: i64,
    pub name: String,
    pub place: String,
    /// Their answer for the other date; empty if there is none.
    pub other: String,
    pub deputy: String,
    pub sign: &'static str,
    pub status: &'static str,
    pub responsible: String,
    pub next: &'static str,
    pub due: String,
    pub due_on: Option<Date>,
    pub is_late: bool,
}

/// Guests with the same status, or those whose next step is late.
#[derive(Debug)]
pub(super) struct Group {
    /// Its name in `data-` marks.
    pub mark: &'static str,
    pub name: &'static str,
    /// Nothing is to be done about any of them soon.
    pub is_quiet: bool,
    pub lines: Vec<Line>,
}

/// A step that is due within this time is what to do next.
const SOON: Duration = Duration::days(14);
/// The group before all others.
const LATE: (&str, &str) = ("late", "Late");

fn line(snapshot: &GuestSnapshot, known: &GuestRecord, on: Date, calendar: &Calendar, now: OffsetDateTime) -> Line {
    let today = snapshot.event.today(now);
    let status = known.status(on);
    // Once the day has passed, nothing is next.
    let next = next_step::next(snapshot, known, on, calendar).filter(|_| today <= on);
    let details = &snapshot.event.details;
    let other = [Some(details.burn_on), details.rain_on].into_iter().flatten().find(|other| *other != on);
    let other = other
        .map(|other| format!("{}: {}", Reader::App.near_day(other, today), known.status(other).says().to_lowercase()));
    Line {
        id: known.guest.id,
        name: headed(known),
        place: subtitle(snapshot, known),
        other: other.unwrap_or_default(),
        deputy: deputy(known, on),
        sign: if next.is_some_and(|(_, day)| day < today) { "late" } else { status.sign() },
        status: status.says(),
        responsible: known.responsible.as_ref().map(|(_, name)| name.clone()).unwrap_or_default(),
        next: next.map_or("", |(step, _)| step.says()),
        due: next.map(|(_, day)| format!("by {}", Reader::App.near_day(day, today))).unwrap_or_default(),
        due_on: next.map(|(_, day)| day),
        is_late: next.is_some_and(|(_, day)| day < today),
    }
}

/// Everyone: first those whose next step is late, then by status for a date, and last those
/// about whom nothing is to be done soon. Each group is in order of introduction.
pub(super) fn groups(snapshot: &GuestSnapshot, on: Date, calendar: &Calendar, now: OffsetDateTime) -> Vec<Group> {
    let until = snapshot.event.today(now) + SOON;
    let in_order = |status: Option<GuestStatus>| -> Vec<Line> {
        let order = snapshot.order(on, |known| status.is_none_or(|wanted| known.status(on) == wanted));
        let lines = order.iter().map(|placed| line(snapshot, &snapshot.guests[placed.of], on, calendar, now));
        lines.filter(|line| line.is_late == status.is_none()).collect()
    };
    let (mark, name) = LATE;
    let mut groups = vec![Group { mark, name, is_quiet: false, lines: in_order(None) }];
    groups.extend(GuestStatus::ALL.into_iter().map(|status| {
        let lines = in_order(Some(status));
        let is_soon = |line: &Line| line.due_on.is_some_and(|due| due <= until);
        let is_settled = status.is_expected() || status == GuestStatus::StaysAway;
        let is_quiet = is_settled && !lines.iter().any(is_soon);
        Group { mark: status.as_str(), name: status.says(), is_quiet, lines }
    }));
    groups.retain(|group| !group.lines.is_empty());
    groups.sort_by_key(|group| group.is_quiet);
    groups
}
