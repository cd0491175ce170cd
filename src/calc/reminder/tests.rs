use super::Fate::{Cancelled, Covered, Expired, Goes, Waits};
use super::*;
use crate::zone::Zone;
use proptest::prelude::*;
use std::sync::LazyLock;
use time::macros::{date, datetime};

fn reminder(about: i64, due: PrimitiveDateTime, not_after: PrimitiveDateTime) -> Reminder {
    Reminder { about, due, not_after, still_true: true }
}

fn limits(burn_on: Date) -> Limits {
    Limits { quiet: Quiet::default(), burn_on, last_mail_on: None }
}

#[test]
fn the_crew_of_a_january_burn_hears_on_these_days() {
    let calendar = Calendar::federal();
    let burn_on = date!(2027 - 01 - 02);
    assert_eq!(later(burn_on, -i64::from(CREW_ASKED)), date!(2026 - 10 - 18));
    let due: Vec<_> = Whom::Crew.rules().iter().map(|rule| rule.due(burn_on, &calendar)).collect();
    assert_eq!(
        due,
        [
            datetime!(2026-12-12 09:00),
            datetime!(2026-12-28 09:00),
            datetime!(2026-12-31 09:00),
            datetime!(2027-01-02 08:00),
        ]
    );
}

#[test]
fn working_days_leave_out_what_the_department_closes() {
    let rule = Rule { basis: Basis::Working, ..*Whom::Media.rule("remind").unwrap() };
    let on = |closed: &[Date]| {
        let calendar = Calendar::new(closed.iter().copied());
        rule.due(date!(2027 - 01 - 02), &calendar).date()
    };
    assert_eq!(on(&[]), date!(2026 - 12 - 31));
    assert_eq!(on(&[date!(2026 - 12 - 31)]), date!(2026 - 12 - 30));
}

#[test]
fn each_rule_has_a_key_of_its_own() {
    for whom in Whom::ALL {
        for rule in whom.rules() {
            assert_eq!(whom.rules().iter().filter(|other| other.key == rule.key).count(), 1, "{whom:?} {rule:?}");
            assert_eq!(whom.rule(rule.key), Some(rule), "{whom:?}");
            // It is part of keys, a form, and a mark.
            let is_plain = |c: char| c.is_ascii_lowercase() || c == '-';
            assert!(!rule.key.is_empty() && rule.key.chars().all(is_plain), "{whom:?} {rule:?}");
        }
        assert_eq!(whom.rule("never"), None);
    }
}

#[test]
fn the_usual_rules_are_out_of_the_usual_quiet_hours() {
    for whom in Whom::ALL {
        for rule in whom.rules() {
            let at = PrimitiveDateTime::new(date!(2027 - 01 - 02), rule.at);
            assert_eq!(Quiet::default().end(at), None, "{whom:?} {rule:?}");
        }
    }
}

#[test]
fn quiet_hours_end_where_they_should() {
    let night = Quiet::default();
    let noon = Quiet { from: time!(12:00), until: time!(14:00) };
    let none = Quiet { from: time!(12:00), until: time!(12:00) };
    let cases = [
        (night, datetime!(2027-01-02 20:59:59), None),
        (night, datetime!(2027-01-02 21:00), Some(datetime!(2027-01-03 08:00))),
        (night, datetime!(2026-12-31 23:59:59), Some(datetime!(2027-01-01 08:00))),
        (night, datetime!(2027-01-02 00:00), Some(datetime!(2027-01-02 08:00))),
        (night, datetime!(2027-01-02 07:59:59), Some(datetime!(2027-01-02 08:00))),
        (night, datetime!(2027-01-02 08:00), None),
        (noon, datetime!(2027-01-02 11:59), None),
        (noon, datetime!(2027-01-02 12:00), Some(datetime!(2027-01-02 14:00))),
        (noon, datetime!(2027-01-02 14:00), None),
        (noon, datetime!(2027-01-02 23:00), None),
        (none, datetime!(2027-01-02 12:00), None),
        (none, datetime!(2027-01-02 00:00), None),
    ];
    for (quiet, at, end) in cases {
        assert_eq!(quiet.end(at), end, "{quiet:?} {at}");
    }
}

#[test]
fn a_word_that_would_be_too_late_goes_in_quiet_hours() {
    let (at, quiet) = (datetime!(2027-01-02 05:30), Quiet::default());
    assert_eq!(quiet.outside(at, datetime!(2027-01-02 08:00)), datetime!(2027-01-02 08:00));
    assert_eq!(quiet.outside(at, datetime!(2027-01-02 07:00)), at);
}

/// Chicago's clocks go forward an hour at 02:00 on March 14, 2027.
#[test]
fn the_day_before_at_nine_is_nine_when_the_clocks_change_between() {
    let calendar = Calendar::federal();
    let chicago = Zone::named("America/Chicago").unwrap();
    let instant = |days| {
        let rule = Rule { days, at: time!(9:00), ..*Whom::Volunteers.rule("evening-before").unwrap() };
        let at = rule.due(date!(2027 - 03 - 14), &calendar);
        chicago.instant(at.date(), at.time()).unwrap()
    };
    assert_eq!(instant(1), datetime!(2027-03-13 15:00 UTC));
    assert_eq!(instant(0) - instant(1), Duration::hours(23));
}

/// Down for three days, past two due times and a deadline.
#[test]
fn what_came_due_meanwhile_is_said_once_or_not_at_all() {
    let end = datetime!(2027-01-02 10:00);
    let gone = Reminder { still_true: false, ..reminder(3, datetime!(2026-12-29 09:00), end) };
    let reminders = [
        reminder(1, datetime!(2026-12-28 09:00), end),
        reminder(1, datetime!(2026-12-30 09:00), end),
        reminder(2, datetime!(2026-12-29 09:00), datetime!(2026-12-30 18:00)),
        gone,
        reminder(4, datetime!(2026-12-29 18:00), end),
        reminder(1, datetime!(2027-01-01 18:00), end),
    ];
    let now = datetime!(2026-12-31 11:00);
    assert_eq!(fates(&reminders, now), [Covered, Goes, Expired, Cancelled, Goes, Waits]);
    assert_eq!(
        mails(&reminders, now, limits(date!(2027 - 01 - 02))),
        [Mail { at: now, says: vec![1, 4] }, Mail { at: datetime!(2027-01-01 18:00), says: vec![5] }]
    );
    // At night it waits until morning.
    let night = datetime!(2026-12-31 02:00);
    assert_eq!(mails(&reminders, night, limits(date!(2027 - 01 - 02)))[0].at, datetime!(2026-12-31 08:00));
}

#[test]
fn a_second_mail_waits_until_the_stretch_is_over_and_takes_what_came_due() {
    let end = datetime!(2027-01-02 10:00);
    let reminders = [
        reminder(1, datetime!(2026-11-01 09:00), end),
        reminder(2, datetime!(2026-11-03 17:00), end),
        reminder(3, datetime!(2026-11-06 08:30), end),
        reminder(4, datetime!(2026-11-07 09:00), end),
    ];
    let now = datetime!(2026-10-30 12:00);
    assert_eq!(
        mails(&reminders, now, limits(date!(2027 - 01 - 02))),
        [
            Mail { at: datetime!(2026-11-01 09:00), says: vec![0] },
            Mail { at: datetime!(2026-11-06 08:30), says: vec![1, 2] },
            Mail { at: datetime!(2026-11-11 09:00), says: vec![3] },
        ]
    );
}

#[test]
fn the_last_week_has_a_mail_a_day_and_ends_a_wait() {
    let end = datetime!(2027-01-03 10:00);
    let reminders = [
        reminder(1, datetime!(2026-12-24 09:00), end),
        reminder(2, datetime!(2026-12-25 09:00), end),
        reminder(3, datetime!(2026-12-28 09:00), end),
        reminder(4, datetime!(2026-12-28 18:00), end),
        reminder(5, datetime!(2026-12-29 09:00), end),
    ];
    let now = datetime!(2026-12-20 12:00);
    let at: Vec<_> =
        mails(&reminders, now, limits(date!(2027 - 01 - 02))).into_iter().map(|mail| (mail.at, mail.says)).collect();
    assert_eq!(
        at,
        [
            (datetime!(2026-12-24 09:00), vec![0]),
            (datetime!(2026-12-26 09:00), vec![1]),
            (datetime!(2026-12-28 09:00), vec![2, 3]),
            (datetime!(2026-12-29 09:00), vec![4]),
        ]
    );
}

#[test]
fn what_turns_up_after_todays_mail_waits_for_tomorrow() {
    let today = date!(2026 - 12 - 30);
    let limits = Limits { last_mail_on: Some(today), ..limits(date!(2027 - 01 - 02)) };
    let late = [reminder(1, datetime!(2026-12-30 15:00), datetime!(2027-01-02 10:00))];
    let mails = mails(&late, datetime!(2026-12-30 15:00), limits);
    assert_eq!(mails, [Mail { at: datetime!(2026-12-31 15:00), says: vec![0] }]);
}

#[test]
fn what_would_be_too_late_goes_in_spite_of_the_limit() {
    let reminders = [
        reminder(1, datetime!(2026-11-02 09:00), datetime!(2027-01-02 10:00)),
        reminder(2, datetime!(2026-11-03 09:00), datetime!(2026-11-04 09:00)),
    ];
    let limits = Limits { last_mail_on: Some(date!(2026 - 11 - 01)), ..limits(date!(2027 - 01 - 02)) };
    assert_eq!(
        mails(&reminders, datetime!(2026-11-01 12:00), limits),
        [Mail { at: datetime!(2026-11-03 09:00), says: vec![0, 1] }]
    );
}

/// The rule in RFC 5545 section 3.3.5 doesn't keep times in order around a jump: 02:30,
/// which Chicago's clocks skip on March 14, 2027, is an instant after 03:15. The usual
/// quiet hours cover every such time.
#[test]
fn only_quiet_hours_keep_the_order_over_a_jump() {
    let chicago = Zone::named("America/Chicago").unwrap();
    let at = |time| chicago.instant(date!(2027 - 03 - 14), time).unwrap();
    assert!(at(time!(2:30)) > at(time!(3:15)));
    assert!(Quiet::default().end(datetime!(2027-03-14 02:30)).is_some());
}

#[test]
fn a_wait_ends_at_the_same_time_whenever_one_asks() {
    let limits = Limits { last_mail_on: Some(date!(2026 - 11 - 01)), ..limits(date!(2027 - 01 - 02)) };
    let held = [reminder(1, datetime!(2026-11-03 09:00), datetime!(2027-01-02 10:00))];
    for now in [
        datetime!(2026-11-01 09:30),
        datetime!(2026-11-03 15:37),
        datetime!(2026-11-05 23:00),
        datetime!(2026-11-06 00:01),
        datetime!(2026-11-06 08:59),
    ] {
        assert_eq!(mails(&held, now, limits), [Mail { at: datetime!(2026-11-06 09:00), says: vec![0] }], "{now}");
    }
    let late = datetime!(2026-11-06 09:01);
    assert_eq!(mails(&held, late, limits)[0].at, late);
}

/// Zones whose clocks change at odd hours or by odd amounts.
const ZONES: [&str; 6] = [
    "Africa/Casablanca",
    "America/Ciudad_Juarez",
    "America/Santiago",
    "America/St_Johns",
    "Australia/Lord_Howe",
    "Pacific/Apia",
];

fn any_date() -> impl Strategy<Value = Date> {
    (date!(2026 - 01 - 01).to_julian_day()..date!(2040 - 12 - 31).to_julian_day())
        .prop_map(|day| Date::from_julian_day(day).unwrap())
}

fn any_time() -> impl Strategy<Value = Time> {
    (0u8..24, 0u8..60).prop_map(|(hour, minute)| Time::from_hms(hour, minute, 0).unwrap())
}

prop_compose! {
    fn any_rule()(days in 0u16..120, working: bool, at in any_time()) -> Rule {
        Rule {
            key: "any",
            kind: Kind::Remind,
            by: By::Mail,
            days,
            basis: if working { Basis::Working } else { Basis::Calendar },
            at,
        }
    }
}

prop_compose! {
    fn any_quiet()(from in any_time(), until in any_time()) -> Quiet {
        Quiet { from, until }
    }
}

static FEDERAL: LazyLock<Calendar> = LazyLock::new(Calendar::federal);

const BURN_ON: Date = date!(2027 - 06 - 12);

fn hours(n: i64) -> PrimitiveDateTime {
    PrimitiveDateTime::new(BURN_ON, Time::MIDNIGHT) + Duration::hours(n)
}

prop_compose! {
    fn any_reminder()(about in 0i64..4, due in -700i64..60, lasts in 0i64..400, still_true in proptest::bool::weighted(0.9)) -> Reminder {
        Reminder { about, due: hours(due), not_after: hours(due + lasts), still_true }
    }
}

proptest! {
    #[test]
    fn an_earlier_burn_day_never_makes_a_reminder_later(
        rule in any_rule(), quiet in any_quiet(), a in any_date(), b in any_date(), burn_time in any_time(),
    ) {
        let at = |on: Date| {
            quiet.outside(rule.due(on, &FEDERAL), PrimitiveDateTime::new(on, burn_time))
        };
        prop_assert!(at(a.min(b)) <= at(a.max(b)));
    }

    #[test]
    fn a_reminder_is_never_after_the_day_it_counts_from(rule in any_rule(), on in any_date()) {
        let due = rule.due(on, &FEDERAL);
        prop_assert!(due.date() <= on);
        prop_assert_eq!(due.time(), rule.at);
        prop_assert!(rule.basis == Basis::Calendar || FEDERAL.is_working(due.date()));
    }

    #[test]
    fn nothing_is_left_in_quiet_hours_but_what_cannot_wait(
        quiet in any_quiet(), on in any_date(), time in any_time(), wait in 0i64..48,
    ) {
        let at = PrimitiveDateTime::new(on, time);
        let not_after = at + Duration::hours(wait);
        let moved = quiet.outside(at, not_after);
        prop_assert!(at <= moved && moved <= not_after);
        match quiet.end(moved) {
            None => prop_assert!(moved - at < Duration::DAY),
            Some(end) => prop_assert!(moved == at && end > not_after),
        }
        prop_assert_eq!(quiet.outside(moved, not_after), moved);
    }

    /// In these zones and years, an hour that the clocks skip or repeat is within the usual
    /// quiet hours.
    #[test]
    fn each_reminder_is_one_instant_and_the_order_is_kept(
        zone in prop::sample::select(&ZONES[..]), burn_on in any_date(), one in any_rule(), other in any_rule(),
    ) {
        let zone = Zone::named(zone).unwrap();
        let quiet = Quiet::default();
        let wall = |rule: Rule| quiet.outside(rule.due(burn_on, &FEDERAL), PrimitiveDateTime::MAX);
        let instant = |at: PrimitiveDateTime| zone.instant(at.date(), at.time()).unwrap();
        let (first, second) = (wall(one).min(wall(other)), wall(one).max(wall(other)));
        prop_assert_eq!(zone.wall(instant(first)), first);
        prop_assert_eq!(instant(first) < instant(second), first < second);
    }

    #[test]
    fn what_is_due_and_true_is_said_once_for_each_thing(
        reminders in prop::collection::vec(any_reminder(), 0..12), now in -700i64..60,
    ) {
        let now = hours(now);
        let fates = fates(&reminders, now);
        prop_assert_eq!(fates.len(), reminders.len());
        for (reminder, fate) in reminders.iter().zip(&fates) {
            let live = reminder.due <= now && now <= reminder.not_after && reminder.still_true;
            prop_assert_eq!(matches!(fate, Goes | Covered), live);
            prop_assert_eq!(*fate == Waits, reminder.due > now && reminder.still_true);
        }
        for about in 0..4 {
            let of = |wanted: Fate| {
                let matching = reminders.iter().zip(&fates).filter(move |(r, f)| r.about == about && **f == wanted);
                matching.map(|(reminder, _)| reminder.due).collect::<Vec<_>>()
            };
            let (goes, covered) = (of(Goes), of(Covered));
            prop_assert!(goes.len() <= 1);
            prop_assert!(covered.iter().all(|due| goes.iter().any(|last| due <= last)));
        }
    }

    #[test]
    fn mails_keep_to_the_limits_and_lose_nothing(
        reminders in prop::collection::vec(any_reminder(), 0..12), now in -700i64..60, quiet in any_quiet(),
        last in prop::option::of(-40i64..0),
    ) {
        let now = hours(now);
        let last = last.map(|days| now.date() + Duration::days(days + 1));
        let mails = mails(&reminders, now, Limits { quiet, burn_on: BURN_ON, last_mail_on: last });

        let mut said: Vec<usize> = mails.iter().flat_map(|mail| mail.says.clone()).collect();
        said.sort_unstable();
        let fates = fates(&reminders, now);
        let live: Vec<usize> =
            (0..reminders.len()).filter(|index| matches!(fates[*index], Waits | Goes)).collect();
        prop_assert_eq!(said, live);

        let mut before = last;
        for mail in &mails {
            let of = |index: &usize| reminders[*index];
            prop_assert!(mail.at >= now);
            // Nothing goes out before its day or too late.
            for reminder in mail.says.iter().map(of) {
                prop_assert!(reminder.due.date() <= mail.at.date() && mail.at <= reminder.not_after);
            }
            // It has a day of its own, far enough from the email before, or something can't wait.
            let allowed = |on: Date| before.is_none_or(|before| {
                let week = (BURN_ON - on).whole_days();
                (on - before).whole_days() >= 5 || on > before && (0..=7).contains(&week)
            });
            let too_late = |reminder: &Reminder| {
                let held = |at| {
                    let at = quiet.outside(at, reminder.not_after);
                    let mut on = at.date();
                    while !allowed(on) {
                        on = on.next_day().unwrap();
                    }
                    PrimitiveDateTime::new(on, at.time())
                };
                held(held(reminder.due).max(now)) > reminder.not_after
                    && mail.at == quiet.outside(reminder.due.max(now), reminder.not_after)
            };
            prop_assert!(allowed(mail.at.date()) || mail.says.iter().map(of).any(|reminder| too_late(&reminder)));
            prop_assert!(before == last || before.is_none_or(|before| mail.at.date() > before));
            // Only what can't wait goes out in quiet hours.
            if let Some(end) = quiet.end(mail.at) {
                prop_assert!(mail.says.iter().map(of).any(|reminder| end > reminder.not_after));
            }
            before = Some(mail.at.date());
        }
    }
}
