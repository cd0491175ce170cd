//! The lines under a question: as statements store them, and as each reader sees them.

use super::{Request, hours, live_burn};
use crate::events::{Details, Event};
use crate::web::words::{self, Reader};

/// The lines a question states besides its dates: those about the event, then its own.
/// Statements store and compare them; [`line_for`] gives them as people read them.
pub(super) fn lines(details: &Details, request: &Request) -> Vec<(String, String)> {
    let own = |label: &str| request.facts.iter().any(|(other, _)| other == label);
    // A crew position's own place is a spot on the site.
    let site = if own("Where") { "Site" } else { "Where" };
    let mut lines = vec![("Event".to_owned(), live_burn::stored(details))];
    lines.push(("First fire".to_owned(), words::iso_time(details.burn_time)));
    if !details.site.is_empty() {
        lines.push((site.to_owned(), details.site.clone()));
    }
    lines.extend(live_burn::for_visitors(details, request));
    let own = request.facts.iter().filter(|line| !lines.contains(line)).cloned().collect::<Vec<_>>();
    lines.extend(own);
    lines
}

/// A stored line as a reader sees it.
pub(super) fn line_for(reader: Reader, (label, text): &(String, String)) -> (String, String) {
    (label.clone(), text_for(reader, label, text))
}

/// The text of a stored line as a reader sees it.
pub(super) fn text_for(reader: Reader, label: &str, text: &str) -> String {
    match label {
        "First fire" | "Time" | "Arrive" => hours::text_for(reader, text),
        "Event" => live_burn::read(text),
        _ => text.to_owned(),
    }
}

/// The lines under a question, for a reader: its dates, the event's time and place, then
/// what was typed.
#[must_use]
pub fn facts(event: &Event, request: &Request, reader: Reader) -> Vec<(String, String)> {
    let mut facts = Vec::new();
    for ask in request.live() {
        let label = if Some(ask.for_on) == event.details.rain_on { "Rain date" } else { "Day" };
        facts.push((label.to_owned(), reader.day(ask.for_on)));
    }
    facts.extend(lines(&event.details, request).iter().skip(1).map(|line| line_for(reader, line)));
    facts
}
