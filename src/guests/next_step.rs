//! The next step for each guest.

use super::record::GuestRecord;
use super::snapshot::GuestSnapshot;
use super::status::GuestStatus;
use crate::calc::calendar::Calendar;
use time::{Date, Duration};

/// Offices that haven't replied are called this many days before burn day; the first and
/// the last count working days. Common practice.
const CHASES: [(u32, bool); 4] = [(21, true), (14, false), (7, false), (1, true)];
/// Pronunciations are due, and briefings go out, this many working days before burn day.
/// Common practice.
const NAMES: u32 = 10;
const BRIEFINGS: u32 = 5;

/// The next step for a guest.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Step {
    Invite,
    Ring,
    AskName,
    Brief,
}

impl Step {
    pub fn says(self) -> &'static str {
        match self {
            Self::Invite => "invite",
            Self::Ring => "call for a reply",
            Self::AskName => "get pronunciation",
            Self::Brief => "send the briefing",
        }
    }

    /// Its name in `data-` marks.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Invite => "invite",
            Self::Ring => "ring",
            Self::AskName => "ask name",
            Self::Brief => "brief",
        }
    }
}

/// The next step for a guest for a date, and its due date.
pub(super) fn next(
    snapshot: &GuestSnapshot,
    known: &GuestRecord,
    on: Date,
    calendar: &Calendar,
) -> Option<(Step, Date)> {
    match known.status(on) {
        GuestStatus::NotAsked => Some((Step::Invite, snapshot.settings.due(known.guest.details.level, on, calendar))),
        GuestStatus::Waiting | GuestStatus::Maybe => {
            let last = last_word(snapshot, known);
            let days = CHASES.iter().map(|(days, working)| {
                let days = *days;
                if *working {
                    calendar.before(on, days)
                } else {
                    calendar.before(on - Duration::days(i64::from(days)), 0)
                }
            });
            days.into_iter().find(|day| last.is_none_or(|last| *day > last)).map(|day| (Step::Ring, day))
        }
        GuestStatus::Comes if known.person.details.said.is_empty() => Some((Step::AskName, calendar.before(on, NAMES))),
        GuestStatus::Comes | GuestStatus::SendsDeputy => Some((Step::Brief, calendar.before(on, BRIEFINGS))),
        GuestStatus::StaysAway => None,
    }
}

/// When the office was last asked, or last replied.
fn last_word(snapshot: &GuestSnapshot, known: &GuestRecord) -> Option<Date> {
    let asked = known.request.as_ref().map(|request| {
        let answers = request.asks.iter().filter_map(|ask| ask.last()).map(|answer| answer.at);
        let at = answers.max().unwrap_or(request.asked_at).max(request.asked_at);
        snapshot.event.details.zone.wall(at).date()
    });
    asked.max(known.guest.chased_on)
}
