//! Today, burn day, and the rain date: a vertical line each, with its name underneath.

use super::{Axis, KeyDays, Rows, number, width};
use crate::web::words::{Reader, tidy};
use time::Date;

/// The least room between two names.
const GAP: f64 = 8.0;
/// A line of names, in type sizes.
const LINE: f64 = 1.2;

/// A vertical line.
#[derive(Debug)]
pub(in crate::countdown) struct Upright {
    /// `burn`, `today` or `rain`.
    pub kind: &'static str,
    pub x: f64,
    pub label: String,
    /// The middle of its name.
    pub text_x: f64,
    /// The baseline of its name.
    pub text_y: f64,
}

/// The lines of a drawing whose lanes end at `floor`, with their names below that on a sheet
/// of this width. A name goes under its line, in the first row that is free.
pub(in crate::countdown) fn uprights(axis: &Axis, days: &KeyDays, sheet: f64, floor: f64, size: f64) -> Vec<Upright> {
    let day = |on| Reader::App.near_day(on, days.today);
    let burn = format!("burn day: {}", Reader::App.near_moment(days.burn, days.today));
    let mut all = vec![("burn", days.burn.date(), burn), ("today", days.today, format!("today: {}", day(days.today)))];
    all.extend(days.rain_on.map(|on| ("rain", on, format!("rain date: {}", day(on)))));
    let mut rows = Rows::default();
    let upright = |(kind, on, label): (&'static str, Date, String)| {
        let (x, half) = (axis.start(on), width(&label, size) / 2.0);
        let middle = x.min(sheet - half).max(half);
        let row = rows.put((middle - half - GAP / 2.0, middle + half + GAP / 2.0));
        let text_y = floor + size * (1.0 + LINE * number(row)) + 6.0;
        Upright { kind, x: tidy(x), label, text_x: tidy(middle), text_y: tidy(text_y) }
    };
    all.into_iter().map(upright).collect()
}
