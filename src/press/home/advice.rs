//! Better dates for what we tell outlets.

use crate::events::Event;
use crate::press::timeline::{self, Step};
use crate::web::words::Reader;
use time::Date;
use time::macros::time;

/// What the advice is about, and what it says.
pub(super) fn advice(steps: &[Step], event: &Event, today: Date) -> Vec<(&'static str, String)> {
    let ahead = steps.iter().filter(|step| step.due >= today && timeline::tells(&step.key));
    let off: Vec<String> = ahead
        .filter(|step| !timeline::is_best(step.due))
        .map(|step| format!("“{}” on {}", step.title, Reader::App.near_day(step.due, today)))
        .collect();
    let mut advice = Vec::new();
    if !off.is_empty() {
        let hours = Reader::App.times(time!(9:00), time!(12:00));
        let says =
            format!("Newsrooms are easiest to reach Tuesday to Thursday, {hours}. Outside that: {}.", off.join("; "));
        advice.push(("steps", says));
    }
    if event.details.burn_on >= today && !timeline::is_best(event.details.burn_on) {
        let says = format!(
            "Burn day is a {}. That is good for families, but newsrooms have few people. Offer a weekday preview or your \
             own pictures.",
            event.details.burn_on.weekday()
        );
        advice.push(("burn day", says));
    }
    advice
}
