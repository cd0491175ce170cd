use super::*;
use crate::asks::{Answer, Given, Way};
use time::macros::{date, datetime, time};

const BURN: Date = date!(2027 - 01 - 09);
const RAIN: Date = date!(2027 - 01 - 16);

fn request(id: i64, time: &str, asks: &[(Date, Option<Said>)]) -> Request {
    let ask = |(place, (on, said)): (usize, &(Date, Option<Said>))| Ask {
        id: id * 10 + i64::try_from(place).unwrap(),
        for_on: *on,
        date_revision: 1,
        is_lapsed: false,
        answers: said.iter().map(|said| answer(*said)).collect(),
    };
    Request {
        id,
        event_id: 1,
        person_id: 1,
        kind: Kind::Post,
        question: "Can you work the live burn?".to_owned(),
        facts: vec![("Time".to_owned(), time.to_owned())],
        words: String::new(),
        closes_at: datetime!(2027-01-01 20:00 UTC),
        asked_at: datetime!(2026-12-01 20:00 UTC),
        asked_by: None,
        is_withdrawn: false,
        link_number: 1,
        version: 1,
        asks: asks.iter().enumerate().map(ask).collect(),
    }
}

fn answer(said: Said) -> Answer {
    Answer::of(&Given::of(said, Way::Phone), datetime!(2026-12-02 20:00 UTC))
}

#[test]
fn a_yes_settles_open_questions_for_the_same_hours_and_no_others() {
    let gate = request(1, "07:00 to 13:00", &[(BURN, Some(Said::Yes))]);
    let open = |time: &str| request(2, time, &[(BURN, None)]);
    assert!(settles(&gate, &open("12:00 to 15:00")));
    for later in ["13:00 to 15:00", "morning", "12:00"] {
        assert!(!settles(&gate, &open(later)), "{later}");
    }
    let same = open("07:00 to 13:00");
    for (name, other) in [
        ("another person's", Request { person_id: 2, ..same.clone() }),
        ("another burn's", Request { event_id: 2, ..same.clone() }),
        ("of another kind", Request { kind: Kind::Help, ..same.clone() }),
        ("withdrawn", Request { is_withdrawn: true, ..same.clone() }),
        ("itself", gate.clone()),
        ("a promise", request(2, "07:00 to 13:00", &[(BURN, Some(Said::Yes))])),
        ("answered", request(2, "07:00 to 13:00", &[(BURN, Some(Said::No))])),
        ("open for another date", request(2, "07:00 to 13:00", &[(BURN, None), (RAIN, None)])),
        ("a promise for another date", request(2, "07:00 to 13:00", &[(BURN, None), (RAIN, Some(Said::Yes))])),
    ] {
        assert!(!settles(&gate, &other), "{name}");
    }
    let declined = request(2, "07:00 to 13:00", &[(BURN, None), (RAIN, Some(Said::No))]);
    assert!(settles(&gate, &declined));
    for said in [Said::No, Said::Maybe] {
        assert!(!settles(&request(1, "07:00 to 13:00", &[(BURN, Some(said))]), &same), "{said}");
    }
    assert!(!settles(&Request { is_withdrawn: true, ..gate.clone() }, &same));
}

#[test]
fn a_yes_for_part_of_the_time_takes_only_that() {
    let mut gate = request(1, "07:00 to 13:00", &[(BURN, Some(Said::Yes))]);
    gate.asks[0].answers[0].there = Some(Hours::between(time!(7:00), time!(9:00)));
    assert!(!settles(&gate, &request(2, "10:00 to 12:00", &[(BURN, None)])));
    assert!(settles(&gate, &request(2, "08:00 to 12:00", &[(BURN, None)])));
}

#[test]
fn an_alternate_takes_no_hours() {
    let line = |label: &str, text: &str| (label.to_owned(), text.to_owned());
    let mut gate = request(1, "07:00 to 13:00", &[(BURN, Some(Said::Yes))]);
    gate.facts.insert(0, line("Position", &format!("Gate{AS_ALTERNATE}")));
    let cars = request(2, "08:00 to 10:00", &[(BURN, None)]);
    assert!(!settles(&gate, &cars));
    gate.facts.extend([line("Position", "Parking"), line("Time", "13:00 to 15:00")]);
    assert!(!settles(&gate, &cars), "the other position is at other hours");
    gate.facts.extend([line("Position", "Water"), line("Time", "09:00 to 11:00")]);
    assert!(settles(&gate, &cars));
}

#[test]
fn all_positions_of_a_question_must_be_taken() {
    let gate = request(1, "07:00 to 13:00", &[(BURN, Some(Said::Yes))]);
    let mut two = request(2, "08:00 to 09:00", &[(BURN, None)]);
    assert_eq!(all(&[gate.clone(), two.clone()]).len(), 1);
    two.facts.push(("Time".to_owned(), "14:00 to 15:00".to_owned()));
    assert!(all(&[gate, two]).is_empty());
}
