//! The form reads back as it was typed, and every mistake is named.

use super::*;
use crate::events::{self, Format, Weekdays};
use crate::zone::Zone;
use time::macros::{date, time};

fn event() -> Event {
    let details = events::Details {
        name: "Two Rooms".to_owned(),
        site: String::new(),
        zone: Zone::named("America/Chicago").unwrap(),
        burn_on: date!(2027 - 01 - 02),
        burn_time: time!(10:00),
        rain_on: Some(date!(2027 - 01 - 09)),
        format: Format::OneAtATime,
        audience: None,
        weekdays: Weekdays::new([time::Weekday::Saturday]).unwrap(),
        visitors: crate::events::VisitorFacts::default(),
    };
    Event { id: 1, details, date_revision: 1, facts_revision: 1, is_current: true, version: 1 }
}

fn typed() -> LoanForm {
    let form = LoanForm::fresh("7").with("what", "sports clock").with("serial", "MS-0412").with("is_school", "yes");
    let form = form.with("lender_contact", "Coach Bell").with("burn_free", "free").with("burn_from", "2026-12-30");
    let form = form.with("burn_until", "2027-01-04").with("burn_collect", "2026-12-31");
    let form = form.with("burn_return", "2027-01-04").with("rain_free", "not free").with("collect_place", "Gym door");
    let form = form.with("collect_time", "15:30").with("value", "1850.00").with("insured", "by us");
    let form = form.with("is_single", "yes").with("backup", "hand timers").with("distance", "60");
    form.with("checks", "screen: whole").with("accessories", "remote: 1\ncable: 2")
}

fn loan(details: Details) -> Loan {
    let (person, organization) = (String::new(), String::new());
    let (lender_contact_id, our_contact_id, request_id) = (None, None, None);
    let (steps, records) = (Vec::new(), Vec::new());
    Loan {
        id: 1,
        event_id: 1,
        details,
        person,
        organization,
        lender_contact_id,
        our_contact_id,
        request_id,
        steps,
        records,
        version: 0,
    }
}

#[test]
fn a_form_reads_back_as_it_was_typed() {
    let details = typed().read(&event(), None).unwrap();
    let again = LoanForm::of(&loan(details.clone()), &event());
    for field in FIELDS.iter().chain(CHOICES) {
        assert_eq!(again.get(field.name), typed().get(field.name), "{}", field.name);
    }
    assert_eq!(again.read(&event(), None), Ok(details));
}

#[test]
fn days_must_hold_the_day_they_are_for() {
    let form = typed().with("burn_from", "2027-01-03").with("burn_until", "2027-01-01");
    let form =
        form.with("burn_collect", "2026-12-01").with("burn_return", "2027-01-08").with("rain_from", "2027-01-08");
    let mistakes = form.read(&event(), None).unwrap_err();
    for field in ["burn_from", "burn_until", "burn_collect", "burn_return", "rain_free"] {
        assert!(!mistakes.of(field).is_empty(), "{field}");
    }
    assert_eq!(mistakes.count(), 5);
}

#[test]
fn what_was_agreed_for_a_date_that_is_no_more_stays() {
    let old = loan(typed().read(&event(), None).unwrap());
    let mut moved = event();
    (moved.details.burn_on, moved.details.rain_on) = (date!(2027 - 01 - 16), None);
    let form = LoanForm::of(&old, &moved);
    assert_eq!((form.get("burn_free"), form.get("burn_from")), ("not agreed yet", ""));
    let details = form.read(&moved, Some(&old)).unwrap();
    assert_eq!(details.agreed, old.details.agreed);
}

#[test]
fn an_empty_list_is_the_usual_one_of_its_sort() {
    let form = typed().with("checks", "").with("accessories", "\n");
    assert_eq!(form.read(&event(), None).unwrap().checklist, checklist::usual(Kind::Clock));
}

#[test]
fn odd_values_get_a_message_each() {
    let form = typed().with("what", "").with("kind", "spaceship").with("value", "0").with("insured", "by magic");
    let form = form.with("distance", "0").with("collect_time", "25:00").with("checks", ": whole");
    let form = form.with("accessories", "cable: many").with("task", "x");
    let mistakes = form.read(&event(), None).unwrap_err();
    assert_eq!(mistakes.count(), 9, "{mistakes:?}");
}
