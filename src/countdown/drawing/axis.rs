//! Where a day is on a drawing. Time widens toward burn day: going from one week before it
//! to two takes as much room as going from two weeks to three and a half, and so on. Of
//! half a year, the last two weeks, where most of the work is, get a third.

use super::width;
use crate::web::words::tidy;
use time::Date;

/// The room of a day after burn day, as a part of what the same day before it gets.
const AFTER: f64 = 0.45;
const WEEK: i32 = 7;
/// The weeks before and after burn day that get a line with a name, if there is room.
const BEFORE: [i32; 17] = [1, 2, 3, 4, 6, 8, 10, 12, 16, 20, 26, 39, 52, 78, 104, 156, 208];
const LATER: [i32; 10] = [1, 2, 4, 8, 13, 26, 52, 104, 156, 208];
/// The least room between two of those names.
const GAP: f64 = 6.0;

/// The scale of a drawing.
#[derive(Debug, Clone, Copy)]
pub(in crate::countdown) struct Axis {
    /// Burn day, as a Julian day.
    burn: i32,
    left: f64,
    right: f64,
    /// How far the left edge is from burn day.
    from: f64,
    scale: f64,
}

/// A week's line.
#[derive(Debug, PartialEq)]
pub(in crate::countdown) struct Tick {
    pub x: f64,
    pub label: String,
}

/// How far the start of a day is from the start of burn day, so many days away; negative
/// before it.
fn reach(days: i32) -> f64 {
    let away = (f64::from(days.abs()) / f64::from(WEEK)).ln_1p();
    if days < 0 { -away } else { AFTER * away }
}

impl Axis {
    /// From the start of one day to the end of another that isn't earlier, with burn day
    /// among them.
    pub fn new(burn_on: Date, (first, last): (Date, Date), (left, right): (f64, f64)) -> Self {
        let burn = burn_on.to_julian_day();
        let from = reach(first.to_julian_day() - burn);
        let until = reach(last.to_julian_day() + 1 - burn);
        Self { burn, left, right, from, scale: (right - left) / (until - from) }
    }

    fn at(&self, days: i32) -> f64 {
        self.left + (reach(days) - self.from) * self.scale
    }

    /// Where burn day starts.
    pub fn burn(&self) -> f64 {
        self.at(0)
    }

    /// Where a day starts.
    pub fn start(&self, day: Date) -> f64 {
        self.at(day.to_julian_day() - self.burn)
    }

    /// Where a day ends.
    pub fn end(&self, day: Date) -> f64 {
        self.at(day.to_julian_day() + 1 - self.burn)
    }

    /// The weeks whose names fit side by side, on a sheet of this width and in type of this
    /// size. Those nearest burn day go first.
    pub fn weeks(&self, sheet: f64, size: f64) -> Vec<Tick> {
        let mut ticks = Vec::new();
        for (side, weeks) in [(-1, BEFORE.as_slice()), (1, LATER.as_slice())] {
            let mut taken = 0.0;
            for count in weeks {
                let label = if side < 0 { format!("{count} wk") } else { format!("{count} wk after") };
                let (x, half) = (self.at(side * count * WEEK), width(&label, size) / 2.0);
                let away = (x - self.burn()).abs();
                let is_shown = (self.left..=self.right).contains(&x) && x >= half && x + half <= sheet;
                if is_shown && away - half >= taken + GAP {
                    taken = away + half;
                    ticks.push(Tick { x: tidy(x), label });
                }
            }
        }
        ticks
    }
}

#[cfg(test)]
mod tests {
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
}
