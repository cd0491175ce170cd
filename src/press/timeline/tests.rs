use super::super::outlets::{OutletDetails, OutletKind};
use super::*;
use time::macros::date;

fn outlet(lead_days: u8, closed_weekdays: &[Weekday], closed_on: &[Date]) -> Outlet {
    let details = OutletDetails {
        name: "Bend Weekly".to_owned(),
        kind: OutletKind::Weekly,
        rhythm: String::new(),
        lead_days,
        closed_weekdays: closed_weekdays.to_vec(),
        closed_on: closed_on.to_vec(),
    };
    Outlet { id: 1, details, version: 1 }
}

fn step(key: &str, due: Date) -> Step {
    Step { key: key.to_owned(), title: key.to_owned(), due }
}

fn conflicts(
    steps: &[Step],
    outlets: &[&Outlet],
    schedule: &Schedule<'_>,
    has_release: impl Fn(i64) -> bool,
) -> Vec<String> {
    schedule.conflicts(steps, outlets, has_release).into_iter().map(|(_, says)| says).collect()
}

/// By hand: burn day is Sat, Jan 2, 2027, and follow-ups are due Wed, Dec 30, 2026.
#[test]
fn a_follow_up_on_an_outlets_closed_day_is_a_conflict() {
    let calendar = Calendar::federal();
    let burn_on = date!(2027 - 01 - 02);
    let (open, closed) = (outlet(0, &[], &[]), outlet(0, &[Weekday::Tuesday], &[date!(2026 - 12 - 30)]));
    let steps = [step("press-follow-up", date!(2026 - 12 - 30)), step("press-area", date!(2026 - 12 - 30))];
    let today = date!(2026 - 12 - 01);
    assert_eq!(conflicts(&steps, &[&open], &Schedule { calendar: &calendar, burn_on, today }, |_| false), [""; 0]);
    let found = conflicts(&steps, &[&open, &closed], &Schedule { calendar: &calendar, burn_on, today }, |_| false);
    // It is closed on Tuesday too, so Monday is the day.
    assert_eq!(found.len(), 1);
    for part in ["“press-follow-up”", "Wed, Dec 30", "Bend Weekly", "Mon, Dec 28"] {
        assert!(found[0].contains(part), "{found:?}");
    }
    assert_eq!(
        conflicts(&steps, &[&closed], &Schedule { calendar: &calendar, burn_on, today: date!(2026 - 12 - 31) }, |_| {
            false
        }),
        [""; 0]
    );
}

/// By hand: ten days before Sat, Jan 2, 2027 is Wed, Dec 23, 2026.
#[test]
fn a_weekly_that_needs_its_text_before_the_release_is_a_conflict() {
    let calendar = Calendar::federal();
    let weekly = outlet(10, &[], &[]);
    let burn_on = date!(2027 - 01 - 02);
    let schedule = Schedule { calendar: &calendar, burn_on, today: date!(2026 - 12 - 01) };
    assert_eq!(schedule.wanted_by(&weekly), date!(2026 - 12 - 23));
    let found = |due| conflicts(&[step("news-release", due)], &[&weekly], &schedule, |_| false);
    assert_eq!(found(date!(2026 - 12 - 23)), [""; 0]);
    let late = found(date!(2026 - 12 - 24));
    assert_eq!(late.len(), 1);
    for part in ["Bend Weekly", "10 days", "Wed, Dec 23", "“news-release”", "Thu, Dec 24"] {
        assert!(late[0].contains(part), "{late:?}");
    }
}

#[test]
fn an_outlet_that_has_the_release_waits_for_none() {
    let calendar = Calendar::federal();
    let weekly = outlet(10, &[], &[]);
    let days = &Schedule { calendar: &calendar, burn_on: date!(2027 - 01 - 02), today: date!(2026 - 12 - 01) };
    let steps = [step("news-release", date!(2026 - 12 - 24))];
    assert_eq!(conflicts(&steps, &[&weekly], days, |_| false).len(), 1);
    assert_eq!(conflicts(&steps, &[&weekly], days, |outlet| outlet == 1), [""; 0]);
}

#[test]
fn weekends_are_told_apart_from_closed_days() {
    let plain = outlet(0, &[], &[]);
    let today = date!(2026 - 12 - 01);
    assert_eq!(against(&plain, date!(2027 - 01 - 04), today), "");
    assert!(against(&plain, date!(2027 - 01 - 02), today).contains("weekend"));
    let closed = outlet(0, &[Weekday::Monday], &[]);
    assert_eq!(against(&closed, date!(2027 - 01 - 04), today), "Bend Weekly is closed on Mon, Jan 4");
    assert!(is_best(date!(2027 - 01 - 05)) && !is_best(date!(2027 - 01 - 08)));
}
