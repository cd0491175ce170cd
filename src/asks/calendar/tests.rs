use super::*;
use crate::asks::{Answer, Given, Kind, Way};
use crate::events::{Details, Format, Weekdays};
use crate::people::{self, Person};
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
    let at = datetime!(2027-01-02 12:00 UTC);
    let answer = |said: &Said| Answer::of(&Given::of(*said, Way::Link), at);
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
    let parties = Parties { sender: &sender, person: &person, key: &key };
    attachments(&event(), &request, &known, parties, datetime!(2027-01-02 12:00 UTC))
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
