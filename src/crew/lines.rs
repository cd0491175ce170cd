//! How pages show a date, and someone in a position with their status for each date.

use super::reply_status::{ReplyStatus, Seats};
use super::snapshot::{Assigned, CrewSnapshot};
use crate::web::words::{self, Reader};
use time::{Date, OffsetDateTime};

/// A date at the head of a column.
pub(super) struct DateLine {
    pub label: &'static str,
    pub day: String,
    pub iso: String,
    pub seats: Seats,
}

/// A person in a position.
pub(super) struct PersonLine {
    pub assignment_id: i64,
    pub person_id: i64,
    pub name: String,
    pub is_standby: bool,
    /// The rule that was overridden, why, and by whom.
    pub rule_override: String,
    pub cells: Vec<Cell>,
}

/// A person's status for a date.
pub(super) struct Cell {
    pub day: String,
    pub iso: String,
    pub state: &'static str,
    pub sign: &'static str,
    pub says: String,
    /// What they answered and when, and to which question if it named no position.
    pub said: String,
    /// Rules that are broken, each with its source.
    pub against: Vec<(String, String)>,
    /// The kinds of those rules.
    pub why: String,
}

impl DateLine {
    pub fn of(snapshot: &CrewSnapshot, on: Date, today: Date) -> Self {
        Self {
            label: if on == snapshot.event.details.burn_on { "Burn day" } else { "Rain date" },
            day: Reader::App.near_day(on, today),
            iso: words::iso(on),
            seats: snapshot.all_seats(on),
        }
    }
}

impl PersonLine {
    pub fn of(snapshot: &CrewSnapshot, one: &Assigned<'_>, now: OffsetDateTime) -> Self {
        let today = snapshot.event.today(now);
        let cell = |on: Date| {
            let status = snapshot.status(one.assignment, on);
            let broken = snapshot.broken(one.assignment, on);
            let is_short = !broken.is_empty() && status != ReplyStatus::Declined;
            Cell {
                day: Reader::App.near_day(on, today),
                iso: words::iso(on),
                state: status.as_str(),
                sign: if is_short { "late" } else { status.sign() },
                says: status.says(today),
                said: said(snapshot, one, on, today),
                why: broken.iter().map(|rule| rule.why.as_str()).collect::<Vec<_>>().join(" "),
                against: broken.into_iter().map(|rule| (rule.words, rule.basis)).collect(),
            }
        };
        let assignment = one.assignment;
        let rule_override = assignment.rule_override.as_ref().map(|decided| {
            let day = Reader::App.near_day(snapshot.event.details.zone.wall(decided.at).date(), today);
            format!("Overridden: {} {} ({}, {day})", decided.rules.join(" "), decided.reason, decided.by)
        });
        Self {
            assignment_id: assignment.id,
            person_id: one.person.id,
            name: one.person.details.name.clone(),
            is_standby: assignment.is_standby,
            rule_override: rule_override.unwrap_or_default(),
            cells: snapshot.dates().map(cell).collect(),
        }
    }
}

/// "Answered yes by phone, Wed, Nov 25, to “Can you help at the gate?”", or when they
/// were asked that.
fn said(snapshot: &CrewSnapshot, one: &Assigned<'_>, on: Date, today: Date) -> String {
    let Some(request) = snapshot.question(one.assignment, on) else { return String::new() };
    let day = |at: OffsetDateTime| Reader::App.near_day(snapshot.event.details.zone.wall(at).date(), today);
    let general = snapshot.is_general(request);
    match request.stands_for(on) {
        Some(answer) if general => {
            let (said, way) = (answer.says(), answer.way.how());
            format!("Answered {said} {way}, {}, to “{}”", day(answer.at), request.question)
        }
        Some(answer) => format!("Answered {} {}, {}", answer.says(), answer.way.how(), day(answer.at)),
        None if general => format!("Asked {}: “{}”", day(request.asked_at), request.question),
        None => String::new(),
    }
}
