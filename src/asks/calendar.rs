//! Questions and answers as entries in people's calendars.

use super::live_burn::LASTS_HOURS;
use super::sending::Parties;
use super::{Ask, Request, Said, Sender, Statement, hours, lines};
use crate::events::{Coordinates, Event};
use crate::mail::ics::{Entry, Status};
use crate::mail::{Calendar, Mailbox, ics};
use crate::web::link::LinkKey;
use crate::web::words::Reader;
use time::{Date, Duration, OffsetDateTime, Time};

/// How long something takes when only its start is known.
const USUALLY: Duration = Duration::hours(LASTS_HOURS);

/// When something starts and ends on that date: from the first to the last of the
/// question's "Time" lines, as in "08:30 to 12:30", or from the arrival time, or else
/// from the first fire.
pub(super) fn hours(event: &Event, request: &Request, on: Date) -> (OffsetDateTime, OffsetDateTime) {
    let instant = |on: Date, at: Time| event.details.zone.instant(on, at).unwrap_or(on.with_time(at).assume_utc());
    let read = |label: &str| {
        let typed = request.facts.iter().filter(move |(other, _)| other == label);
        typed.filter_map(|(_, text)| hours::read_span(text)).collect::<Vec<_>>()
    };
    let spans = read("Time").into_iter().chain(read("Arrive")).map(|span| {
        let start = instant(on, span.from);
        let end = span.until.and_then(|(until, is_next_day)| {
            let on = if is_next_day { on.next_day()? } else { on };
            Some(instant(on, until))
        });
        (start, end.filter(|end| *end > start))
    });
    let spans: Vec<_> = spans.collect();
    let burn = instant(on, event.details.burn_time);
    let start = spans.iter().map(|(start, _)| *start).min().unwrap_or(burn);
    let end = spans.iter().filter_map(|(_, end)| *end).max().unwrap_or(start.max(burn) + USUALLY);
    (start, end)
}

/// The entry for one date. Its sequence number goes up with every answer and with every
/// change to the question or the event.
fn entry(event: &Event, request: &Request, ask: &Ask, parties: Parties<'_>, stamp: OffsetDateTime) -> Entry {
    let Parties { sender, person, key } = parties;
    let (start, end) = hours(event, request, ask.for_on);
    let said = request.asks.iter().map(|ask| ask.answers.len()).sum::<usize>();
    let number = i64::try_from(said).unwrap_or(0) + event.facts_revision + request.version;
    let entry = Entry {
        uid: format!("ask-{}@{}.burnday.invalid", ask.id, key.installation()),
        sequence: u32::try_from(number).unwrap_or(0),
        stamp,
        start,
        end,
        summary: format!("{}: {}", event.details.name, request.kind.title()),
        place: place(event, request),
        geo: geo(event),
        description: description(event, request, sender),
        status: Status::Confirmed,
        organizer: Mailbox { name: sender.name.clone(), address: sender.mail.clone() },
        attendee: Some(Mailbox { name: person.details.name.clone(), address: person.details.mail.clone() }),
        url: String::new(),
    };
    if Some(ask.for_on) == event.details.rain_on { entry.hold() } else { entry }
}

/// The site and its address, which a map can find. A spot on the site is one of the lines.
pub(super) fn place(event: &Event, request: &Request) -> String {
    let location = event.details.location();
    if location.is_empty() {
        let typed = request.facts.iter().find(|(label, _)| label == "Where").map(|(_, text)| text.clone());
        return typed.unwrap_or_default();
    }
    location
}

/// Where that is on a map, as a calendar reads it. Empty if no one has said.
pub(super) fn geo(event: &Event) -> String {
    event.details.visitors.place.map(Coordinates::geo_value).unwrap_or_default()
}

fn description(event: &Event, request: &Request, sender: &Sender) -> String {
    let mut lines = vec![request.question.clone()];
    let facts = lines::lines(&event.details, request);
    let told = facts.iter().skip(1).map(|line| lines::line_for(Reader::Public, line));
    lines.extend(told.map(|(label, text)| format!("{label}: {text}")));
    lines.push(sender.contact());
    lines.join("\n")
}

/// What is attached to a letter to someone who knows this much: an entry for each date
/// they said yes to, burn day first, and a cancellation for every other entry they have.
#[must_use]
pub(super) fn attachments(
    event: &Event,
    request: &Request,
    known: &Statement,
    parties: Parties<'_>,
    now: OffsetDateTime,
) -> Vec<Calendar> {
    // An invitation needs an organizer's address, and donations are picked up on another
    // day.
    if parties.sender.mail.is_empty() || request.kind.takes_offer() {
        return Vec::new();
    }
    let truth = Statement::of(event, request);
    let find = |id: i64| request.asks.iter().find(|ask| ask.id == id);
    let in_calendar = truth.yes().filter_map(|date| Some(entry(event, request, find(date.ask)?, parties, now)));
    let taken_out = known.entries.difference(&truth.entries).filter_map(|ask| {
        let entry = entry(event, request, find(*ask)?, parties, now);
        Some(Entry { status: Status::Cancelled, ..entry })
    });
    let file = |entry: Entry| {
        let method = entry.method();
        Calendar { method, text: ics::invitation(&entry, method) }
    };
    in_calendar.chain(taken_out).map(file).collect()
}

/// One question's dates answered with yes, for the reader's own calendar.
#[must_use]
pub(super) fn file(event: &Event, request: &Request, parties: Parties<'_>) -> String {
    ics::feed(&event.details.name, &standing(event, request, parties))
}

/// A question's entries: the dates answered with yes.
#[must_use]
pub(super) fn standing(event: &Event, request: &Request, parties: Parties<'_>) -> Vec<Entry> {
    // Donations are picked up on another day.
    if request.is_withdrawn || request.kind.takes_offer() {
        return Vec::new();
    }
    let yes = request.live().filter_map(|ask| Some((ask, ask.stands().filter(|answer| answer.said == Said::Yes)?)));
    yes.map(|(ask, answer)| entry(event, request, ask, parties, answer.at)).collect()
}

/// The event's own dates, stamped with its last change.
#[must_use]
pub(super) fn of_event(event: &Event, sender: &Sender, key: &LinkKey, stamp: OffsetDateTime) -> String {
    let dates = [Some(event.details.burn_on), event.details.rain_on];
    let entries = dates.into_iter().zip(["burn", "rain"]).filter_map(|(on, which)| {
        let on = on?;
        let start = event.details.zone.instant(on, event.details.burn_time)?;
        let entry = Entry {
            uid: format!("{which}-{}@{}.burnday.invalid", event.id, key.installation()),
            sequence: u32::try_from(event.facts_revision + event.version).unwrap_or(0),
            stamp,
            start,
            end: start + USUALLY,
            summary: event.details.name.clone(),
            place: event.details.location(),
            geo: geo(event),
            description: format!("{}\n{}", sender.contact(), Reader::Public.day(on)),
            status: Status::Confirmed,
            organizer: Mailbox { name: sender.name.clone(), address: sender.mail.clone() },
            attendee: None,
            url: String::new(),
        };
        Some(if which == "rain" { entry.hold() } else { entry })
    });
    ics::feed(&event.details.name, &entries.collect::<Vec<_>>())
}

#[cfg(test)]
pub(super) mod tests;
