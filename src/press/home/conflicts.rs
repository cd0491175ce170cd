//! Dates that don't fit an outlet's schedule.

use crate::events::Event;
use crate::press::log::open_follow_ups;
use crate::press::snapshot::PressSnapshot;
use crate::press::timeline::{Against, Schedule, Step, instead};
use crate::web::words::{self, Reader};

/// A date that doesn't fit an outlet's schedule.
#[derive(Default)]
pub(super) struct ConflictLine {
    pub says: String,
    /// The outlet's page.
    pub href: String,
    /// Of a follow-up: why its date is a bad one, and a better date.
    pub why: &'static str,
    pub on: String,
    pub instead: String,
}

/// Of the press tasks to come, and of the follow-ups.
pub(super) fn conflicts(
    known: &PressSnapshot,
    event: &Event,
    to_come: &[Step],
    schedule: &Schedule<'_>,
) -> Vec<ConflictLine> {
    let listed: Vec<_> = known.listed().map(|(_, outlet)| outlet).collect();
    let has_release = |outlet: i64| {
        known.entries.iter().any(|entry| entry.outlet_id == outlet && entry.sent.starts_with("news release"))
    };
    let of_tasks = schedule.conflicts(to_come, &listed, has_release).into_iter().map(|(outlet, says)| ConflictLine {
        says,
        href: outlet.href(event.id),
        ..ConflictLine::default()
    });
    of_tasks.chain(of_follow_ups(known, event, schedule)).collect()
}

fn of_follow_ups(known: &PressSnapshot, event: &Event, schedule: &Schedule<'_>) -> Vec<ConflictLine> {
    let today = schedule.today;
    let mut lines = Vec::new();
    for (entry, on) in open_follow_ups(&known.entries).into_iter().filter(|(_, on)| *on >= today) {
        let Some(outlet) = known.outlet(entry.outlet_id) else { continue };
        let Some(against) = Against::of(outlet, on) else { continue };
        let sooner = instead(outlet, schedule.calendar, on).filter(|sooner| *sooner >= today);
        let advice = sooner.map(|on| format!(" Try {}.", Reader::App.near_day(on, today))).unwrap_or_default();
        lines.push(ConflictLine {
            says: format!("Follow up with {}: {}.{advice}", entry.person, against.says(outlet, on, today)),
            href: outlet.href(event.id),
            why: against.as_str(),
            on: words::iso(on),
            instead: sooner.map(words::iso).unwrap_or_default(),
        });
    }
    lines
}
