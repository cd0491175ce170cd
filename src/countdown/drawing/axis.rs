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
mod tests;
