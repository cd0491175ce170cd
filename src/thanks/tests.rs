use super::attended::invited;
use super::letters;
use super::owed::count;
use super::reasons::WORK;
use super::{Day, Deputy, Invited, Lent, Owed, Thanked, Way, Whom, due_on, owed};
use crate::asks::{Answer, Ask, Kind, Request, Said, Way as Channel};
use crate::calc::calendar::Calendar;
use crate::gifts::{Cents, Credit, Details, Gift, GiftStatus, InName, Recognition, Returned, What};
use crate::mail::MailState;
use proptest::prelude::*;
use std::collections::HashMap;
use time::macros::{date, datetime};
use time::{Date, OffsetDateTime};

const BURN: Date = date!(2027 - 01 - 02);
const AT: OffsetDateTime = datetime!(2026-12-01 15:00 UTC);

fn request(id: i64, person_id: i64, kind: Kind, said: Option<(Said, &str)>) -> Request {
    let answer = |(said, deputy): (Said, &str)| Answer {
        said,
        deputy: deputy.to_owned(),
        deputy_title: String::new(),
        deputy_phone: String::new(),
        deputy_mail: String::new(),
        wants_to_speak: None,
        note: String::new(),
        access_needs: String::new(),
        party: None,
        there: None,
        way: Channel::Link,
        evidence: String::new(),
        at: AT,
        recorded_by: None,
    };
    let ask =
        Ask { id, for_on: BURN, date_revision: 1, is_lapsed: false, answers: said.map(answer).into_iter().collect() };
    Request {
        id,
        event_id: 1,
        person_id,
        kind,
        question: "Can you help?".to_owned(),
        facts: Vec::new(),
        words: String::new(),
        closes_at: AT,
        asked_at: AT,
        asked_by: Some(1),
        is_withdrawn: false,
        link_number: 1,
        version: 1,
        asks: vec![ask],
    }
}

fn gift(id: i64, person_id: i64, status: GiftStatus) -> Gift {
    let credit = Credit {
        recognition: Recognition::Open,
        credited_as: String::new(),
        agreed_by: String::new(),
        agreed_on: None,
        logo: String::new(),
    };
    let what = What::Goods { description: "matching sofas".to_owned(), quantity: "2".to_owned(), value: None };
    let details = Details {
        person_id,
        in_name: InName::Person,
        what,
        promised_on: date!(2026 - 11 - 02),
        promised_by: None,
        status,
        returned: Returned::Nothing,
        credit,
        notes: String::new(),
    };
    Gift { id, event_id: 1, person: String::new(), organization: String::new(), details, version: 1 }
}

fn here() -> GiftStatus {
    GiftStatus::Received { on: date!(2026 - 12 - 01), taken_by: "Tomás Brandt".to_owned() }
}

fn guest(id: i64, person_id: i64, said: Option<Said>) -> Invited {
    let deputy = if said == Some(Said::Deputy) { "Deputy Clerk Nell Harrow" } else { "" };
    Invited {
        id,
        person_id,
        name: "Ingrid Solberg-Wray".to_owned(),
        said,
        deputy: Deputy { name: deputy.to_owned(), title: String::new() },
        spoke: false,
        is_here: None,
    }
}

/// Each person with what they are thanked for, as worded in the list.
fn reasons(owed: &[Owed]) -> Vec<(String, Vec<&str>)> {
    let mut reasons = Vec::new();
    for owed in owed {
        reasons.push((owed.whom.key(), owed.open(&[]).iter().map(|reason| reason.says.as_str()).collect()));
    }
    reasons
}

#[test]
fn guests_are_thanked_for_coming_and_whoever_sent_somebody_for_that() {
    let guests = [
        guest(1, 11, Some(Said::Yes)),
        guest(2, 12, Some(Said::Deputy)),
        guest(3, 13, Some(Said::No)),
        guest(4, 14, Some(Said::Maybe)),
        guest(5, 15, None),
    ];
    assert_eq!(
        reasons(&owed(BURN, &guests, &[], &[], &[])),
        [
            ("11".to_owned(), vec!["coming as our guest"]),
            ("12".to_owned(), vec!["sending Deputy Clerk Nell Harrow"]),
            ("12-deputy".to_owned(), vec!["coming in place of Ingrid Solberg-Wray"]),
        ]
    );
}

#[test]
fn what_was_seen_on_the_day_counts_more_than_what_was_said() {
    let seen = |is_here, said| Invited { is_here: Some(is_here), spoke: true, ..guest(1, 11, said) };
    assert_eq!(owed(BURN, &[seen(false, Some(Said::Yes))], &[], &[], &[]), []);
    assert_eq!(owed(BURN, &[seen(false, Some(Said::Deputy))], &[], &[], &[]), [], "neither them nor the deputy");
    let all = owed(BURN, &[seen(true, Some(Said::No))], &[], &[], &[]);
    assert_eq!(reasons(&all), [("11".to_owned(), vec!["coming as our guest", "speaking"])]);
    let all = owed(BURN, &[seen(true, Some(Said::Deputy))], &[], &[], &[]);
    assert_eq!(
        reasons(&all)[1],
        ("11-deputy".to_owned(), vec!["coming in place of Ingrid Solberg-Wray", "speaking"]),
        "the deputy spoke"
    );
}

#[test]
fn lenders_helpers_and_the_crew_are_thanked_after_a_yes_and_the_press_is_not() {
    let yes = Some((Said::Yes, ""));
    let requests = [
        request(1, 11, Kind::Loan, yes),
        request(2, 12, Kind::Post, yes),
        request(3, 13, Kind::Help, yes),
        request(4, 14, Kind::Coverage, yes),
        request(5, 15, Kind::Loan, Some((Said::Maybe, ""))),
        request(6, 16, Kind::Post, Some((Said::No, ""))),
        request(7, 17, Kind::Help, None),
        Request { is_withdrawn: true, ..request(8, 18, Kind::Help, yes) },
    ];
    let all = owed(BURN, &[], &requests, &[], &[]);
    assert_eq!(
        reasons(&all),
        [
            ("11".to_owned(), vec!["lending us something"]),
            ("12".to_owned(), vec![WORK[0]]),
            ("13".to_owned(), vec![WORK[1]]),
        ]
    );
    assert_eq!(owed(date!(2027 - 01 - 09), &[], &requests, &[], &[]), [], "nothing was said to another day");
}

#[test]
fn a_lender_is_thanked_for_each_thing_once_it_is_back_and_not_for_something_too() {
    let lent = |id, person_id, what: &str, is_back| Lent { id, person_id, what: what.to_owned(), is_back };
    let things = [lent(1, 11, "sports clock", true), lent(2, 11, "hand timers", false), lent(3, 12, "barriers", false)];
    let yes = Some((Said::Yes, ""));
    let requests = [request(1, 11, Kind::Loan, yes), request(2, 13, Kind::Loan, yes)];
    let all = owed(BURN, &[], &requests, &[], &things);
    assert_eq!(
        reasons(&all),
        [
            ("11".to_owned(), vec!["lending sports clock"]),
            ("12".to_owned(), vec![]),
            ("13".to_owned(), vec!["lending us something"]),
        ]
    );
    assert_eq!(all[0].reasons[0].thanks, "lending us the sports clock");
}

#[test]
fn several_reasons_are_one_line_and_a_promise_is_thanked_for_once_it_is_kept() {
    let requests = [request(1, 11, Kind::Loan, Some((Said::Yes, "")))];
    let gifts = [gift(1, 11, here()), gift(2, 11, GiftStatus::Promised), gift(3, 12, GiftStatus::Promised)];
    let gifts = [&gifts[..], &[gift(4, 13, GiftStatus::NotComing)]].concat();
    let all = owed(BURN, &[guest(9, 11, Some(Said::Yes))], &requests, &gifts, &[]);
    assert_eq!(all.len(), 2, "people who end up giving nothing aren't on the list: {all:?}");
    assert_eq!(reasons(&all)[0].1, ["coming as our guest", "giving 2 × matching sofas", "lending us something"]);
    assert_eq!(reasons(&all)[1].1, [""; 0]);
    assert_eq!(all[1].reasons[0].says, "promised 2 × matching sofas");
}

fn thanked(id: i64, whom: Whom, reasons: &[&str]) -> Thanked {
    Thanked {
        id,
        whom,
        reasons: reasons.iter().map(|key| (*key).to_owned()).collect(),
        way: Way::Mail,
        at: AT,
        by: None,
        mail: Some((7, MailState::Sent)),
        is_taken_back: false,
    }
}

#[test]
fn nobody_is_thanked_twice_for_a_thing_unless_the_mail_failed_or_the_tick_was_taken_back() {
    let gifts = [gift(1, 11, here()), gift(2, 11, here())];
    let all = owed(BURN, &[], &[], &gifts, &[]);
    let whom = Whom::person(11);
    let open = |sent: &[Thanked]| all[0].open(sent).iter().map(|reason| reason.key.clone()).collect::<Vec<_>>();
    let first = thanked(1, whom, &["gift/1"]);
    assert_eq!(open(&[]), ["gift/1", "gift/2"]);
    assert_eq!(open(std::slice::from_ref(&first)), ["gift/2"]);
    assert_eq!(open(&[first.clone(), thanked(2, whom, &["gift/2"])]), [""; 0]);
    assert_eq!(open(&[thanked(1, Whom::person(12), &["gift/1"])]), ["gift/1", "gift/2"], "that was someone else");
    for state in MailState::ALL {
        let is_lost = matches!(state, MailState::Failed | MailState::Cancelled | MailState::Expired);
        let sent = Thanked { mail: Some((7, state)), ..first.clone() };
        assert_eq!(open(&[sent]).len(), if is_lost { 2 } else { 1 }, "{state}");
    }
    let back = Thanked { mail: None, way: Way::Letter, is_taken_back: true, ..first };
    assert_eq!(open(&[back]).len(), 2);
}

#[test]
fn thanks_are_due_within_a_week_and_on_the_next_working_day_after_a_closed_one() {
    // A Saturday burn: the seventh day is a Saturday too, so it is due on Monday.
    assert_eq!(due_on(date!(2027 - 01 - 02), &Calendar::federal()), date!(2027 - 01 - 11));
    // The Monday after is closed (Birthday of Martin Luther King, Jr.).
    assert_eq!(due_on(date!(2027 - 01 - 09), &Calendar::federal()), date!(2027 - 01 - 19));
    assert_eq!(due_on(date!(2027 - 03 - 04), &Calendar::federal()), date!(2027 - 03 - 11));
}

#[test]
fn a_key_is_read_back_and_nothing_else_is_one() {
    for whom in [Whom::person(12), Whom { person_id: 12, is_deputy: true }] {
        assert_eq!(Whom::of_key(&whom.key()), Some(whom));
    }
    for wrong in ["", "x", "12-", "-deputy", "12-deputy-deputy", "1.5"] {
        assert_eq!(Whom::of_key(wrong), None, "{wrong}");
    }
}

#[test]
fn a_letter_holds_what_was_typed_and_nothing_more() {
    let event = crate::events::Event {
        id: 1,
        details: crate::events::Details {
            name: "Two Rooms, One Spark".to_owned(),
            site: "Alder Bend fairground, east lot".to_owned(),
            zone: crate::zone::Zone::named("America/Chicago").unwrap(),
            burn_on: BURN,
            burn_time: time::macros::time!(10:00),
            rain_on: None,
            format: crate::events::Format::OneAtATime,
            audience: Some(300),
            weekdays: crate::events::Weekdays::new([time::Weekday::Saturday]).unwrap(),
            visitors: crate::events::VisitorFacts::default(),
        },
        date_revision: 1,
        facts_revision: 1,
        is_current: true,
        version: 1,
    };
    let requests = [request(1, 11, Kind::Help, Some((Said::Yes, "")))];
    let gifts = [gift(1, 11, here())];
    let all = owed(BURN, &[guest(9, 11, Some(Said::Yes))], &requests, &gifts, &[]);
    let open = all[0].open(&[]);
    let bare = letters::write(&event, &Day::default(), &open, "");
    assert_eq!(bare.lead, "Thank you for coming as our guest, for your gift of 2 × matching sofas and for your help.");
    let day = ("Live burn".to_owned(), "Saturday, January 2, 2027, Alder Bend fairground, east lot".to_owned());
    assert_eq!((bare.facts, bare.result.as_str()), (vec![day], ""), "an expected audience is not a figure");

    let typed = Day { came: Some(1), alarm: Some(38), flashover: Some(220), sprinkler: Some(60), ..Day::default() };
    let full = letters::write(&event, &typed, &open[..1], "You stayed to the end.");
    assert_eq!(full.lead, "Thank you for coming as our guest. You stayed to the end.");
    let texts: Vec<&str> = full.facts[1..].iter().map(|(_, text)| text.as_str()).collect();
    assert_eq!(
        texts,
        [
            "1 person",
            "38 seconds after the first flame",
            "1 minute after the first flame",
            "3 minutes 40 seconds after the first flame, in the room without a sprinkler"
        ]
    );
}

proptest! {
    /// Whatever the answers: each reason appears once, for one person, and sending what is
    /// open leaves nothing open.
    #[test]
    fn every_reason_stands_once_and_is_over_once_it_is_thanked_for(
        asked in proptest::collection::vec((1..5_i64, 0..5_usize, 0..6_usize), 0..12),
        given in proptest::collection::vec((1..5_i64, 0..3_usize), 0..6),
    ) {
        let said = [None, Some((Said::Yes, "")), Some((Said::No, "")), Some((Said::Maybe, "")),
                    Some((Said::Deputy, "Deputy Clerk Nell Harrow")), Some((Said::Yes, ""))];
        let requests: Vec<Request> = asked.iter().enumerate()
            .map(|(n, (person, kind, answer))| {
                request(i64::try_from(n).unwrap() + 1, *person, Kind::ALL[*kind], said[*answer])
            })
            .collect();
        let stands = [here(), GiftStatus::Promised, GiftStatus::NotComing];
        let gifts: Vec<Gift> = given.iter().enumerate()
            .map(|(n, (person, state))| gift(i64::try_from(n).unwrap() + 1, *person, stands[*state].clone()))
            .collect();
        let all = owed(BURN, &invited(BURN, &requests, &HashMap::new()), &requests, &gifts, &[]);
        let mut keys: Vec<&str> = all.iter().flat_map(|owed| &owed.reasons).map(|reason| reason.key.as_str()).collect();
        let many = keys.len();
        keys.sort_unstable();
        keys.dedup();
        prop_assert_eq!(keys.len(), many);
        let mut whom: Vec<Whom> = all.iter().map(|owed| owed.whom).collect();
        whom.dedup();
        prop_assert_eq!(whom.len(), all.len());
        let sent: Vec<Thanked> = all.iter().enumerate()
            .map(|(n, owed)| {
                let open: Vec<&str> = owed.open(&[]).iter().map(|reason| reason.key.as_str()).collect();
                thanked(i64::try_from(n).unwrap(), owed.whom, &open)
            })
            .collect();
        prop_assert!(all.iter().all(|owed| owed.open(&sent).is_empty()));
        prop_assert_eq!(count(&all, &sent).0, 0);
    }
}

#[test]
fn amounts_stay_out_of_thanks() {
    let mut money = gift(1, 11, here());
    money.details.what = What::Money { amount: Cents::new(50_000), purpose: "the program".to_owned() };
    let all = owed(BURN, &[], &[], &[money], &[]);
    assert_eq!(all[0].reasons[0].thanks, "your gift of money for the program");
}
