//! Questions and answers as entries in people's calendars.

use super::letters::{self, Sender};
use super::{Ask, Request, Said, Statement, hours};
use crate::events::{Coordinates, Event};
use crate::mail::ics::{Entry, Status};
use crate::mail::{Calendar, Mailbox, ics};
use crate::people::Person;
use crate::web::link::LinkKey;
use crate::web::words::Reader;
use time::{Date, Duration, OffsetDateTime, Time};

/// How long something takes when only its start is known.
const USUALLY: Duration = Duration::hours(letters::LASTS_HOURS);

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
fn entry(
    event: &Event,
    request: &Request,
    ask: &Ask,
    (sender, person, key): (&Sender, &Person, &LinkKey),
    stamp: OffsetDateTime,
) -> Entry {
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
    let facts = letters::lines(&event.details, request);
    let told = facts.iter().skip(1).map(|line| letters::line_for(Reader::Public, line));
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
    who: (&Sender, &Person, &LinkKey),
    now: OffsetDateTime,
) -> Vec<Calendar> {
    // An invitation needs an organizer's address, and donations are picked up on another
    // day.
    if who.0.mail.is_empty() || request.kind.takes_offer() {
        return Vec::new();
    }
    let truth = Statement::of(event, request);
    let find = |id: i64| request.asks.iter().find(|ask| ask.id == id);
    let in_calendar = truth.yes().filter_map(|date| Some(entry(event, request, find(date.ask)?, who, now)));
    let taken_out = known.entries.difference(&truth.entries).filter_map(|ask| {
        let entry = entry(event, request, find(*ask)?, who, now);
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
pub(super) fn file(event: &Event, request: &Request, who: (&Sender, &Person, &LinkKey)) -> String {
    ics::feed(&event.details.name, &standing(event, request, who))
}

/// A question's entries: the dates answered with yes.
#[must_use]
pub(super) fn standing(event: &Event, request: &Request, who: (&Sender, &Person, &LinkKey)) -> Vec<Entry> {
    // Donations are picked up on another day.
    if request.is_withdrawn || request.kind.takes_offer() {
        return Vec::new();
    }
    let yes = request.live().filter_map(|ask| Some((ask, ask.stands().filter(|answer| answer.said == Said::Yes)?)));
    yes.map(|(ask, answer)| entry(event, request, ask, who, answer.at)).collect()
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
pub(super) mod tests {
    use super::*;
    use crate::asks::{Answer, Kind, Way};
    use crate::events::{Details, Format, Weekdays};
    use crate::people;
    use crate::zone::Zone;
    use time::macros::{date, datetime, time};

    pub fn event() -> Event {
        let details = Details {
            name: "Two Rooms, One Spark".to_owned(),
            site: "East lot".to_owned(),
            zone: Zone::named("America/Chicago").unwrap(),
            burn_on: date!(2027 - 03 - 13),
            burn_time: time!(10:00),
            rain_on: Some(date!(2027 - 03 - 20)),
            format: Format::OneAtATime,
            audience: None,
            weekdays: Weekdays::new([time::Weekday::Saturday]).unwrap(),
            visitors: crate::events::VisitorFacts::default(),
        };
        Event { id: 1, details, date_revision: 1, facts_revision: 1, is_current: true, version: 1 }
    }

    fn answered(said: &[Said]) -> Ask {
        let answer = |said: &Said| Answer {
            said: *said,
            deputy: String::new(),
            deputy_title: String::new(),
            deputy_phone: String::new(),
            deputy_mail: String::new(),
            wants_to_speak: None,
            note: String::new(),
            access_needs: String::new(),
            party: None,
            there: None,
            way: Way::Link,
            evidence: String::new(),
            at: datetime!(2027-01-02 12:00 UTC),
            recorded_by: None,
        };
        let answers = said.iter().map(answer).collect();
        Ask { id: 7, for_on: date!(2027 - 03 - 13), date_revision: 1, is_lapsed: false, answers }
    }

    pub fn request(asks: Vec<Ask>) -> Request {
        Request {
            id: 3,
            event_id: 1,
            person_id: 5,
            kind: Kind::Post,
            question: "Can you work the gate?".to_owned(),
            facts: vec![("Time".to_owned(), "08:30 to 12:30".to_owned())],
            words: String::new(),
            closes_at: datetime!(2027-03-01 12:00 UTC),
            asked_at: datetime!(2027-01-01 12:00 UTC),
            asked_by: Some(1),
            is_withdrawn: false,
            link_number: 1,
            version: 1,
            asks,
        }
    }

    /// What is attached to a letter to someone whose calendar has these asks.
    fn with(asks: Vec<Ask>, had: &[i64], mail: &str) -> Vec<Calendar> {
        let folder = tempfile::tempdir().unwrap();
        let key = LinkKey::of(folder.path()).unwrap();
        let sender = Sender {
            name: "Priya Okafor".to_owned(),
            mail: mail.to_owned(),
            phone: "555-0117".to_owned(),
            title: String::new(),
            department: "Alder Bend Fire District".to_owned(),
            signer: None,
        };
        let details = people::Details::of_name("Wren Ibarra");
        let person = Person { id: 5, details, refused: String::new(), version: 1 };
        let request = request(asks);
        let known = Statement { entries: had.iter().copied().collect(), ..Statement::default() };
        attachments(&event(), &request, &known, (&sender, &person, &key), datetime!(2027-01-02 12:00 UTC))
    }

    /// The day before clocks in Chicago go forward (IANA database): six hours behind
    /// UTC.
    #[test]
    fn a_yes_is_an_entry_for_the_hours_that_were_asked_for() {
        let calendars = with(vec![answered(&[Said::Yes])], &[], "priya@example.org");
        assert_eq!(calendars.len(), 1);
        assert_eq!(calendars[0].method, crate::mail::Method::Request);
        for line in ["DTSTART:20270313T143000Z", "DTEND:20270313T183000Z", "SEQUENCE:3", "STATUS:CONFIRMED"] {
            assert!(calendars[0].text.contains(line), "{line}: {}", calendars[0].text);
        }
    }

    #[test]
    fn both_dates_have_an_entry_each_and_the_rain_date_is_a_hold() {
        let rain = Ask { id: 8, for_on: date!(2027 - 03 - 20), ..answered(&[Said::Yes]) };
        let calendars = with(vec![answered(&[Said::Yes]), rain], &[], "priya@example.org");
        let text = |place: usize| calendars[place].text.replace("\r\n ", "");
        assert_eq!(calendars.len(), 2);
        assert!(text(0).contains("UID:ask-7@") && text(0).contains("STATUS:CONFIRMED"));
        assert!(text(1).contains("UID:ask-8@") && text(1).contains("SUMMARY:HOLD - rain date"));
    }

    #[test]
    fn an_entry_has_the_address_and_the_place_on_the_map() {
        let mut event = event();
        let request = request(vec![answered(&[Said::Yes])]);
        assert_eq!((place(&event, &request), geo(&event)), ("East lot".to_owned(), String::new()));
        event.details.visitors.address = "1200 Fairground Road\nAlder Bend, Iowa".to_owned();
        event.details.visitors.place = Coordinates::new(41.59, -93.62);
        assert_eq!(place(&event, &request), "East lot, 1200 Fairground Road, Alder Bend, Iowa");
        assert_eq!(geo(&event), "41.590000;-93.620000");
    }

    #[test]
    fn a_yes_taken_back_is_cancelled_with_a_higher_number() {
        let calendars = with(vec![answered(&[Said::No, Said::Yes])], &[7], "priya@example.org");
        assert_eq!(calendars[0].method, crate::mail::Method::Cancel);
        assert!(calendars[0].text.contains("SEQUENCE:4") && calendars[0].text.contains("STATUS:CANCELLED"));
        assert_eq!(with(vec![answered(&[Said::No])], &[], "priya@example.org"), []);
        assert_eq!(with(vec![answered(&[Said::Yes])], &[], ""), []);
    }

    #[test]
    fn hours_without_a_time_are_the_burn_s_own_and_two_positions_reach_from_first_to_last() {
        let (start, end) = (datetime!(2027-03-20 15:00 UTC), datetime!(2027-03-20 17:00 UTC));
        let mut request = request(vec![answered(&[Said::Yes])]);
        request.facts[0].1 = "morning".to_owned();
        assert_eq!(hours(&event(), &request, date!(2027 - 03 - 20)), (start, end));
        let time = |text: &str| ("Time".to_owned(), text.to_owned());
        request.facts = vec![time("10:00 to 12:00"), time("12:30 to 01:00 the next day"), time("08:00 to 09:00")];
        let (start, end) = (datetime!(2027-03-20 13:00 UTC), datetime!(2027-03-21 06:00 UTC));
        assert_eq!(hours(&event(), &request, date!(2027 - 03 - 20)), (start, end));
        request.facts = vec![time("8 a.m. to 12:30 p.m.")];
        let (start, end) = (datetime!(2027-03-20 13:00 UTC), datetime!(2027-03-20 17:30 UTC));
        assert_eq!(hours(&event(), &request, date!(2027 - 03 - 20)), (start, end));
    }
}
