use super::*;
use proptest::prelude::*;
use time::Duration;
use time::macros::date;

const BURN_ON: Date = date!(2027 - 01 - 09);
/// The longest lead time of a plan.
const FAR: i32 = 2_000;

fn day(days: i32) -> Date {
    BURN_ON + Duration::days(i64::from(days))
}

/// As on the Countdown, over so many days before and after.
fn axis(before: i32, after: i32) -> Axis {
    Axis::new(BURN_ON, (day(-before), day(after)), (122.0, 1190.0))
}

#[test]
fn every_day_is_to_the_right_of_the_day_before() {
    for axis in [axis(182, 30), axis(FAR, FAR), axis(0, 0)] {
        for days in -FAR..FAR {
            assert!(axis.start(day(days)) < axis.start(day(days + 1)), "{days}");
            assert_eq!(axis.end(day(days)).to_bits(), axis.start(day(days + 1)).to_bits(), "{days}");
        }
    }
}

#[test]
fn a_week_is_wider_the_nearer_it_is_to_burn_day_and_narrower_after_it() {
    let axis = axis(FAR, FAR);
    let week = |weeks: i32| axis.start(day(7 * weeks + 7)) - axis.start(day(7 * weeks));
    for weeks in 1..280 {
        assert!(week(-weeks) > week(-weeks - 1), "{weeks} weeks before");
        assert!(week(weeks - 1) > week(weeks), "{weeks} weeks after");
        assert!(week(-weeks) > 2.0 * week(weeks - 1), "{weeks} weeks before and after");
    }
}

#[test]
fn the_last_two_weeks_have_a_third_of_half_a_year() {
    let axis = axis(182, 66);
    let part = (axis.burn() - axis.start(day(-14))) / (axis.burn() - axis.start(day(-182)));
    assert!((0.32..0.35).contains(&part), "{part}");
}

#[test]
fn the_drawing_is_filled_from_edge_to_edge() {
    for (before, after) in [(182, 30), (0, 0), (FAR, 0), (0, FAR)] {
        let axis = axis(before, after);
        assert!((axis.start(day(-before)) - 122.0).abs() < 1e-6, "{before} {after}");
        assert!((axis.end(day(after)) - 1190.0).abs() < 1e-6, "{before} {after}");
    }
}

#[test]
fn the_usual_plan_shows_the_usual_weeks() {
    let labels: Vec<String> = axis(184, 66).weeks(1200.0, 11.0).into_iter().map(|tick| tick.label).collect();
    let before = ["1 wk", "2 wk", "3 wk", "4 wk", "6 wk", "8 wk", "10 wk", "12 wk", "16 wk", "20 wk", "26 wk"];
    assert_eq!(labels[..11], before);
    assert_eq!(labels[11], "1 wk after");
}

proptest! {
    #[test]
    fn days_keep_their_order(mut days in prop::collection::vec(-FAR..FAR, 2..40), before in 0..FAR, after in 0..FAR) {
        let axis = axis(before, after);
        days.sort_unstable();
        days.dedup();
        for pair in days.windows(2) {
            prop_assert!(axis.start(day(pair[0])) < axis.start(day(pair[1])));
        }
    }

    #[test]
    fn burn_day_and_the_rain_date_are_never_one_line(away in 1..FAR, before in 0..FAR, after in 0..FAR) {
        let axis = axis(before, after.max(away));
        let apart = tidy(axis.start(day(away))) - tidy(axis.burn());
        prop_assert!(apart > 4.0, "{apart}");
    }

    #[test]
    fn names_of_weeks_never_touch(before in 0..FAR, after in 0..FAR, size in 8.0..16.0f64) {
        let ticks = axis(before, after).weeks(1200.0, size);
        let mut names: Vec<(f64, f64)> = ticks.iter().map(|tick| {
            let half = width(&tick.label, size) / 2.0;
            (tick.x - half, tick.x + half)
        }).collect();
        names.sort_by(|a, b| a.0.total_cmp(&b.0));
        for pair in names.windows(2) {
            prop_assert!(pair[0].1 + GAP - 0.2 <= pair[1].0, "{ticks:?}");
        }
        for (from, until) in names {
            prop_assert!(from >= -0.1 && until <= 1200.1, "{ticks:?}");
        }
    }
}
