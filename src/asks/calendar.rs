//! Questions and answers as entries of the reader's calendar.

use super::letters::Sender;
use super::{Ask, Request, Said};
use crate::events::Event;
use crate::mail::ics::{Entry, Status};
use crate::mail::{Calendar, Mailbox, ics};
use crate::people::Person;
use crate::web::form;
use crate::web::link::LinkKey;
use crate::web::words;
use time::{Date, Duration, OffsetDateTime, Time};

/// How long something takes of which only the start is known.
const USUALLY: Duration = Duration::hours(2);

/// From when to when a question is about, on that date: its line "Time", as in
/// "08:30 to 12:30", or else from the burn's own hour.
pub(super) fn hours(event: &Event, request: &Request, on: Date) -> (OffsetDateTime, OffsetDateTime) {
    let typed = request.facts.iter().find(|(label, _)| label == "Time").map_or("", |(_, text)| text.as_str());
    let mut times = typed.split(" to ").map(|part| form::time_of_day(part).ok());
    let instant = |at: Time| event.details.zone.instant(on, at).unwrap_or(on.with_time(at).assume_utc());
    let start = instant(times.next().flatten().unwrap_or(event.details.burn_time));
    let end = times.next().flatten().map(instant).filter(|end| *end > start).unwrap_or(start + USUALLY);
    (start, end)
}

/// The entry of one date. Its number rises with every answer, every move and
/// when the question is taken back.
fn entry(
    event: &Event,
    request: &Request,
    ask: &Ask,
    (sender, person, key): (&Sender, &Person, &LinkKey),
    stamp: OffsetDateTime,
) -> Entry {
    let (start, end) = hours(event, request, ask.for_on);
    let said = request.asks.iter().map(|ask| ask.answers.len()).sum::<usize>();
    let entry = Entry {
        uid: format!("ask-{}@{}.burnday.invalid", ask.id, key.installation()),
        sequence: u32::try_from(said).unwrap_or(0)
            + u32::try_from(event.date_revision).unwrap_or(0)
            + u32::from(request.is_withdrawn),
        stamp,
        start,
        end,
        summary: format!("{}: {}", event.details.name, request.kind.title()),
        place: place(event, request),
        description: description(request, sender),
        status: Status::Confirmed,
        organiser: Mailbox { name: sender.name.clone(), address: sender.mail.clone() },
        attendee: Some(Mailbox { name: person.details.name.clone(), address: person.details.mail.clone() }),
        url: String::new(),
    };
    if Some(ask.for_on) == event.details.rain_on { entry.hold() } else { entry }
}

pub(super) fn place(event: &Event, request: &Request) -> String {
    let typed = request.facts.iter().find(|(label, _)| label == "Where").map(|(_, text)| text.clone());
    typed.unwrap_or_else(|| event.details.site.clone())
}

fn description(request: &Request, sender: &Sender) -> String {
    let mut lines = vec![request.question.clone()];
    lines.extend(request.facts.iter().map(|(label, text)| format!("{label}: {text}")));
    lines.push(format!("{}, {}", sender.name, sender.phone));
    lines.join("\n")
}

/// What goes with the confirmation of the newest answer: an invitation after a
/// yes, and what takes it out again after a yes that was taken back.
#[must_use]
pub(super) fn attachment(
    event: &Event,
    request: &Request,
    ask: &Ask,
    (sender, person, key): (&Sender, &Person, &LinkKey),
    now: OffsetDateTime,
) -> Option<Calendar> {
    // Without an address nobody invites.
    if sender.mail.is_empty() {
        return None;
    }
    let said: Vec<Said> = ask.answers.iter().map(|answer| answer.said).collect();
    let is_yes = said.first() == Some(&Said::Yes) && !ask.is_lapsed && !request.is_withdrawn;
    // What was never in a calendar need not be taken out.
    if !is_yes && !said.contains(&Said::Yes) {
        return None;
    }
    let entry = entry(event, request, ask, (sender, person, key), now);
    let entry = if is_yes { entry } else { Entry { status: Status::Cancelled, ..entry } };
    let method = entry.method();
    Some(Calendar { method, text: ics::invitation(&entry, method) })
}

/// One question's dates that stand at yes, for the reader's own calendar.
#[must_use]
pub(super) fn file(event: &Event, request: &Request, who: (&Sender, &Person, &LinkKey)) -> String {
    ics::feed(&event.details.name, &standing(event, request, who))
}

/// The entries of a question: the dates that stand at yes.
#[must_use]
pub(super) fn standing(event: &Event, request: &Request, who: (&Sender, &Person, &LinkKey)) -> Vec<Entry> {
    if request.is_withdrawn {
        return Vec::new();
    }
    let yes = request.live().filter_map(|ask| Some((ask, ask.stands().filter(|answer| answer.said == Said::Yes)?)));
    yes.map(|(ask, answer)| entry(event, request, ask, who, answer.at)).collect()
}

/// An event's own dates, and when they were changed last.
#[must_use]
pub(super) fn of_event(event: &Event, sender: &Sender, key: &LinkKey, stamp: OffsetDateTime) -> String {
    let dates = [Some(event.details.burn_on), event.details.rain_on];
    let entries = dates.into_iter().zip(["burn", "rain"]).filter_map(|(on, which)| {
        let on = on?;
        let start = event.details.zone.instant(on, event.details.burn_time)?;
        let entry = Entry {
            uid: format!("{which}-{}@{}.burnday.invalid", event.id, key.installation()),
            sequence: u32::try_from(event.date_revision + event.version).unwrap_or(0),
            stamp,
            start,
            end: start + USUALLY,
            summary: event.details.name.clone(),
            place: event.details.site.clone(),
            description: format!("{}, {}\n{}", sender.name, sender.phone, words::day(on)),
            status: Status::Confirmed,
            organiser: Mailbox { name: sender.name.clone(), address: sender.mail.clone() },
            attendee: None,
            url: String::new(),
        };
        Some(if which == "rain" { entry.hold() } else { entry })
    });
    ics::feed(&event.details.name, &entries.collect::<Vec<_>>())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::asks::{Answer, Kind, Way};
    use crate::events::{Details, Format, Weekdays};
    use crate::people;
    use crate::zone::Zone;
    use time::macros::{date, datetime, time};

    fn event() -> Event {
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
        };
        Event { id: 1, details, date_revision: 1, is_current: true, version: 1 }
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
        Ask { id: 7, for_on: date!(2027 - 03 - 13), is_lapsed: false, answers }
    }

    fn request(asks: Vec<Ask>) -> Request {
        Request {
            id: 3,
            event_id: 1,
            person_id: 5,
            kind: Kind::Post,
            question: "Can you stand at the gate?".to_owned(),
            facts: vec![("Time".to_owned(), "08:30 to 12:30".to_owned())],
            words: String::new(),
            closes_at: datetime!(2027-03-01 12:00 UTC),
            asked_at: datetime!(2027-01-01 12:00 UTC),
            asked_by: Some(1),
            is_withdrawn: false,
            link_number: 1,
            asks,
        }
    }

    fn with(asks: Vec<Ask>, mail: &str) -> Option<Calendar> {
        let folder = tempfile::tempdir().unwrap();
        let key = LinkKey::of(folder.path()).unwrap();
        let sender = Sender {
            name: "Priya Okafor".to_owned(),
            mail: mail.to_owned(),
            phone: "555-0117".to_owned(),
            department: "Alder Bend Fire District".to_owned(),
            signer: None,
        };
        let details = people::Details::of_name("Wren Ibarra");
        let person = Person { id: 5, details, refused: String::new(), version: 1 };
        let request = request(asks);
        attachment(&event(), &request, &request.asks[0], (&sender, &person, &key), datetime!(2027-01-02 12:00 UTC))
    }

    /// The day before clocks in Chicago go forward (IANA database): six hours
    /// behind UTC.
    #[test]
    fn a_yes_invites_for_the_hours_that_were_asked_for() {
        let calendar = with(vec![answered(&[Said::Yes])], "priya@example.org").unwrap();
        assert_eq!(calendar.method, crate::mail::Method::Request);
        for line in ["DTSTART:20270313T143000Z", "DTEND:20270313T183000Z", "SEQUENCE:2", "STATUS:CONFIRMED"] {
            assert!(calendar.text.contains(line), "{line}: {}", calendar.text);
        }
    }

    #[test]
    fn a_yes_taken_back_is_cancelled_with_a_higher_number() {
        let calendar = with(vec![answered(&[Said::No, Said::Yes])], "priya@example.org").unwrap();
        assert_eq!(calendar.method, crate::mail::Method::Cancel);
        assert!(calendar.text.contains("SEQUENCE:3") && calendar.text.contains("STATUS:CANCELLED"));
        assert_eq!(with(vec![answered(&[Said::No])], "priya@example.org"), None);
        assert_eq!(with(vec![answered(&[Said::Yes])], ""), None);
    }

    #[test]
    fn hours_without_a_time_are_the_burn_s_own() {
        let mut request = request(vec![answered(&[Said::Yes])]);
        request.facts[0].1 = "morning".to_owned();
        let (start, end) = hours(&event(), &request, date!(2027 - 03 - 20));
        assert_eq!((start, end), (datetime!(2027-03-20 15:00 UTC), datetime!(2027-03-20 17:00 UTC)));
    }
}
