use super::*;
use crate::calc::calendar::date_of;
use proptest::prelude::*;
use serde_json::Value;
use time::macros::date;

fn rule(days: u16, basis: Basis) -> Rule {
    Rule { days, basis, counted: Counted::Sent, delivery: 0 }
}

/// A worked example for an event on Sat, Oct 9, 2027 with the rain date Sat, Oct 16, counted
/// by hand over Labor Day (Sep 6) and Columbus Day (Oct 11): a week later moves "10 working
/// days" by only four days.
#[test]
fn a_burn_day_and_its_rain_date_in_october() {
    let calendar = Calendar::federal();
    let both = |rule: Rule| [date!(2027 - 10 - 09), date!(2027 - 10 - 16)].map(|day| rule.deadline(&calendar, day));
    assert_eq!(both(rule(10, Basis::Working)), [date!(2027 - 09 - 27), date!(2027 - 10 - 01)]);
    assert_eq!(both(rule(10, Basis::Calendar)), [date!(2027 - 09 - 29), date!(2027 - 10 - 06)]);
    assert_eq!(both(rule(30, Basis::Working)), [date!(2027 - 08 - 27), date!(2027 - 09 - 02)]);
    assert_eq!(both(rule(14, Basis::Working)), [date!(2027 - 09 - 21), date!(2027 - 09 - 27)]);
}

/// Against numpy's `busday_offset`: working days are counted the same, and a calendar day
/// that is closed moves back the same way.
#[test]
fn deadlines_agree_with_numpy() {
    let format = time::macros::format_description!("[year]-[month]-[day]");
    let parse = |value: &Value| Date::parse(value.as_str().unwrap(), format).unwrap();
    let file: Value = serde_json::from_str(include_str!("../../../tests/reference/working_days.json")).unwrap();
    let sets = file["closed_sets"].as_array().unwrap().iter();
    let calendars: Vec<Calendar> = sets.map(|set| Calendar::new(set.as_array().unwrap().iter().map(parse))).collect();
    let (mut counted, mut rolled) = (0, 0);
    for case in file["cases"].as_array().unwrap().iter().filter(|case| case[1] == "before") {
        let calendar = &calendars[usize::try_from(case[0].as_u64().unwrap()).unwrap()];
        let (from, days, by) = (parse(&case[2]), case[3].as_u64().unwrap(), parse(&case[4]));
        let Ok(days @ ..=2_000) = u16::try_from(days) else { continue };
        assert_eq!(rule(days, Basis::Working).deadline(calendar, from), by, "{case}");
        counted += 1;
        if days == 0 {
            for ahead in [0, 10, 45] {
                let day = from + time::Duration::days(i64::from(ahead));
                assert_eq!(rule(ahead, Basis::Calendar).deadline(calendar, day), by, "{case}");
                rolled += 1;
            }
        }
    }
    assert!(counted > 1_000 && rolled > 100, "{counted} counted, {rolled} rolled");
}

#[test]
fn what_is_sent_has_to_arrive_where_arrival_counts() {
    let calendar = Calendar::federal();
    let by_mail = Rule { counted: Counted::Received, delivery: 3, ..rule(10, Basis::Working) };
    // It must be there on Mon, Sep 27; three days before is Fri, Sep 24.
    assert_eq!(by_mail.send_by(&calendar, date!(2027 - 10 - 09)), date!(2027 - 09 - 24));
    // Eight days before is a Sunday: it goes out on Fri, Sep 17.
    let slow = Rule { delivery: 8, ..by_mail };
    assert_eq!(slow.send_by(&calendar, date!(2027 - 10 - 09)), date!(2027 - 09 - 17));
    // Sent on Friday, it is likely there on Monday, and Oct 9 is the first day.
    assert_eq!(by_mail.arrives(&calendar, date!(2027 - 09 - 24)), date!(2027 - 09 - 27));
    assert_eq!(by_mail.earliest(&calendar, date!(2027 - 09 - 24)), date!(2027 - 10 - 09));
    // Sent on Monday, it is there on Thu, Sep 30; the tenth working day from then, over
    // Columbus Day, is Thu, Oct 14.
    assert_eq!(by_mail.earliest(&calendar, date!(2027 - 09 - 27)), date!(2027 - 10 - 15));
}

fn told(names: &[Date], sent_on: Date, received_on: Option<Date>) -> Sending {
    Sending { names: names.to_vec(), sent_on, received_on }
}

#[test]
fn a_day_that_was_named_in_time_is_held_no_more_and_another_is() {
    let calendar = Calendar::federal();
    let (burn, rain) = (date!(2027 - 10 - 09), date!(2027 - 10 - 16));
    let sendings = vec![told(&[burn], date!(2027 - 09 - 20), None)];
    let mut notice = Notice { rule: rule(10, Basis::Working), sendings, granted: vec![] };
    assert_eq!(notice.heard(&calendar, burn), Heard::InTime(date!(2027 - 09 - 20)));
    assert!(!notice.holds(&calendar, burn));
    assert_eq!(notice.heard(&calendar, rain), Heard::Not);
    assert!(notice.holds(&calendar, rain));

    // Sent again for the new date, one working day too late; the old date still counts as
    // told.
    notice.sendings.push(told(&[rain], date!(2027 - 10 - 04), None));
    assert_eq!(notice.heard(&calendar, rain), Heard::TooLate(date!(2027 - 10 - 04)));
    assert!(!notice.holds(&calendar, burn));
    // The authority may still grant it.
    notice.granted.push(rain);
    assert_eq!(notice.heard(&calendar, rain), Heard::Granted);
}

#[test]
fn until_arrival_is_known_the_rule_holds() {
    let calendar = Calendar::federal();
    let burn = date!(2027 - 10 - 09);
    let received = Rule { counted: Counted::Received, delivery: 2, ..rule(10, Basis::Working) };
    let sendings = vec![told(&[burn], date!(2027 - 09 - 20), None)];
    let mut notice = Notice { rule: received, sendings, granted: vec![] };
    assert_eq!(notice.heard(&calendar, burn), Heard::UnderWay(date!(2027 - 09 - 20)));
    assert!(notice.holds(&calendar, burn));
    let (day, number) = (day_number(burn), day_number);
    let first = |today: Date| notice.first_day(&calendar, day, number(today), number(today)).map(date_of);
    assert_eq!(first(date!(2027 - 09 - 20)), Some(date!(2027 - 10 - 06)));
    // If it arrives on Mon, Sep 27, it is just in time; a day later it isn't.
    assert_eq!(first(date!(2027 - 09 - 27)), Some(date!(2027 - 10 - 09)));
    assert_eq!(first(date!(2027 - 09 - 28)), Some(date!(2027 - 10 - 13)));
    notice.sendings[0].received_on = Some(date!(2027 - 09 - 27));
    assert!(!notice.holds(&calendar, burn));
    notice.sendings[0].received_on = Some(date!(2027 - 09 - 28));
    assert_eq!(notice.heard(&calendar, burn), Heard::TooLate(date!(2027 - 09 - 28)));
}

prop_compose! {
    fn any_rule()(
        days in 0u16..120,
        working in any::<bool>(),
        received in any::<bool>(),
        delivery in 0u16..20,
    ) -> Rule {
        let basis = if working { Basis::Working } else { Basis::Calendar };
        let counted = if received { Counted::Received } else { Counted::Sent };
        Rule { days, basis, counted, delivery }
    }
}

fn any_day() -> impl Strategy<Value = Date> {
    (0i32..1_500).prop_map(|ahead| date_of(day_number(date!(2026 - 11 - 01)) + ahead))
}

proptest! {
    #[test]
    fn a_later_burn_day_never_makes_a_notice_deadline_earlier(
        rule in any_rule(), day in any_day(), later in 0i32..60, closed in proptest::collection::vec(any_day(), 0..20),
    ) {
        let calendar = Calendar::new(closed);
        let after = date_of(day_number(day) + later);
        prop_assert!(rule.deadline(&calendar, after) >= rule.deadline(&calendar, day));
        prop_assert!(rule.send_by(&calendar, after) >= rule.send_by(&calendar, day));
    }

    /// The last day to send it and the first possible date are one rule read from two
    /// sides.
    #[test]
    fn sent_by_its_day_is_in_time_and_a_day_later_is_not(
        rule in any_rule(), day in any_day(), sent in any_day(), closed in proptest::collection::vec(any_day(), 0..20),
    ) {
        let calendar = Calendar::new(closed);
        let (by, first) = (rule.send_by(&calendar, day), rule.earliest(&calendar, sent));
        prop_assert_eq!(sent <= by, first <= day, "sent {}, by {}, first {}, day {}", sent, by, first, day);
        prop_assert!(calendar.is_working(by));
        prop_assert!(rule.earliest(&calendar, by) <= day);
    }
}
