//! Other burn days that the plan can meet.

use super::form::is_usual_rain_date;
use crate::calc::calendar::Basis;
use crate::countdown::Outlook;
use crate::events::Event;
use crate::web::words::{self, Reader};
use time::{Date, Duration};

/// The most days that are suggested, and how far ahead of the first possible one they are.
const MOST_SUGGESTED: usize = 4;
const LOOK_AHEAD: i64 = 12 * 7;

/// A day that the plan can meet.
pub(super) struct Suggestion {
    pub on: String,
    pub day: String,
    pub slack: String,
    /// The address of its preview.
    pub href: String,
}

/// The next days on the event's weekdays that the plan can meet, even if everything that
/// depends on the date has to be done again. Each has a rain date as far behind it as now, if that
/// is on one of those weekdays, too.
pub(super) fn suggestions(event: &Event, outlook: &Outlook, first: Date) -> Vec<Suggestion> {
    let details = &event.details;
    let apart = details.rain_on.map(|rain_on| rain_on - details.burn_on);
    let is_other = |on: &Date| !event.dates().contains(*on);
    let days = (0..LOOK_AHEAD).filter_map(|ahead| first.checked_add(Duration::days(ahead)));
    let allowed = days.filter(|on| details.weekdays.contains(on.weekday())).filter(is_other);
    let suggestion = |on: Date| {
        let dates = (details.burn_on, on);
        let slack = u32::try_from(outlook.plan.moved(&outlook.calendar, outlook.today, dates, &[]).spare).ok()?;
        let rain_on = apart.and_then(|apart| on.checked_add(apart)).filter(|on| is_usual_rain_date(event, *on));
        let rain_on = rain_on.map(words::iso).unwrap_or_default();
        let on_iso = words::iso(on);
        Some(Suggestion {
            day: Reader::App.near_day(on, outlook.today),
            slack: format!("{} of slack", words::days(slack, Basis::Calendar)),
            href: format!("/events/{}/move?burn_on={on_iso}&rain_on={rain_on}", event.id),
            on: on_iso,
        })
    };
    allowed.filter_map(suggestion).take(MOST_SUGGESTED).collect()
}
