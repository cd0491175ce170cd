//! How the wall plan is drawn: a bar with its name for each task, on one sheet, in the
//! largest type with which everything fits.

use super::item::{Item, Spot};
use super::measures::{BAR, EDGE, FOOT, LANE_GAP, LEFT, NAMES, PITCH, POINT, TOP, UPRIGHTS, WEEKS};
use super::sheet::Sheet;
use crate::countdown::Outlook;
use crate::countdown::drawing::{self, KeyDays, Lane, Shown, Tick, Upright, number, shortened, uprights};
use crate::web::words::{self, tidy};
use std::collections::HashMap;
use std::fmt::Write;
use time::Date;

#[derive(Debug)]
pub(super) struct Poster {
    pub width: f64,
    pub height: f64,
    /// The bottom of the lanes.
    pub floor: f64,
    pub weeks: Vec<Tick>,
    pub lanes: Vec<Lane>,
    pub bars: Vec<Bar>,
    pub points: Vec<Point>,
    /// The line that joins the critical path, as an SVG path.
    pub chain: String,
    pub uprights: Vec<Upright>,
}

/// A task.
#[derive(Debug)]
pub(super) struct Bar {
    pub id: i64,
    pub x: f64,
    pub y: f64,
    pub width: f64,
    pub kind: &'static str,
    pub in_chain: bool,
    /// The triangle after a late bar, as an SVG path; empty on others.
    pub triangle: String,
    pub name: Name,
}

/// Another date.
#[derive(Debug)]
pub(super) struct Point {
    /// In ISO form.
    pub on: String,
    pub x: f64,
    pub y: f64,
    /// Its sign, as an SVG path.
    pub sign: String,
    pub name: Name,
}

/// The name of a bar, or of a date.
#[derive(Debug)]
pub(super) struct Name {
    pub x: f64,
    pub y: f64,
    pub anchor: &'static str,
    pub text: String,
}

impl Poster {
    pub fn draw(days: &KeyDays, outlook: &Outlook, dates: &[(Date, String)]) -> Self {
        let strands = drawing::lanes(outlook);
        let span = days.span(&strands);
        let items = |shown: Vec<Shown>| shown.into_iter().map(|shown| Item::of_task(outlook, shown)).collect();
        let mut lanes: Vec<(&'static str, Vec<Item>)> =
            strands.into_iter().map(|(strand, shown)| (strand.label(), items(shown))).collect();
        let others = dates.iter().filter(|(on, _)| (span.0..=span.1).contains(on));
        let others: Vec<Item> = others.map(|(on, name)| Item::of_date(*on, name)).collect();
        if !others.is_empty() {
            lanes.push(("Other dates", others));
        }
        let sheet = Sheet::fitting(days, span, &lanes);
        Self::on(&sheet, days, outlook, &lanes)
    }

    fn on(sheet: &Sheet, days: &KeyDays, outlook: &Outlook, lanes: &[(&'static str, Vec<Item>)]) -> Self {
        let (height, edge) = (tidy(sheet.height()), sheet.width - EDGE);
        let floor = tidy(height - FOOT);
        let mut poster = Self {
            width: tidy(sheet.width),
            height,
            floor,
            weeks: sheet.axis.weeks(sheet.width, WEEKS),
            lanes: Vec::new(),
            bars: Vec::new(),
            points: Vec::new(),
            chain: String::new(),
            uprights: uprights(&sheet.axis, days, sheet.width, floor, UPRIGHTS),
        };
        // What is left of the height is shared out among the lanes.
        let gap = LANE_GAP + (sheet.height() - sheet.needed()) / number(lanes.len().max(1));
        let mut y = TOP;
        for ((name, items), (spots, rows)) in lanes.iter().zip(&sheet.lanes) {
            let bottom = y + PITCH * number(*rows) + gap;
            poster.lanes.push(Lane { name, y: tidy(y + gap / 2.0 + 11.0), rule: tidy(bottom) });
            for (item, spot) in items.iter().zip(spots) {
                poster.add(outlook, item, spot, y + gap / 2.0, edge);
            }
            y = bottom;
        }
        poster.chain = chain_path(outlook, &poster, tidy(sheet.axis.burn()));
        poster
    }

    /// Adds an item of a lane whose first row starts at `top`.
    fn add(&mut self, outlook: &Outlook, item: &Item, spot: &Spot, top: f64, edge: f64) {
        let y = top + PITCH * number(spot.row) + (PITCH - BAR) / 2.0;
        let baseline = top + PITCH * number(spot.name_row) + 10.2;
        let text = shortened(&item.name, NAMES, edge - LEFT);
        let name = Name { x: tidy(spot.name_x), y: tidy(baseline), anchor: spot.anchor, text };
        let (x, right, middle) = (tidy(spot.left), tidy(spot.right), tidy(y + BAR / 2.0));
        let Some(task) = item.task else {
            let half = POINT / 2.0;
            let sign = format!("M{x:.1} {middle:.1}l{half} -{half}l{half} {half}l-{half} {half}z");
            self.points.push(Point { on: words::iso(item.start), x: tidy(x + half), y: middle, sign, name });
            return;
        };
        let is_late = task.kind == "late";
        let triangle = format!("M{:.1} {:.1}l4 -8l4 8z", right + 2.0, middle + 4.0);
        self.bars.push(Bar {
            id: outlook.tasks[task.place].id,
            x,
            y: tidy(y),
            width: tidy(right - x),
            kind: task.kind,
            in_chain: task.in_chain,
            triangle: if is_late { triangle } else { String::new() },
            name,
        });
    }
}

/// From the end of each task on the critical path to the start of the next, and from the
/// last one down to burn day.
fn chain_path(outlook: &Outlook, poster: &Poster, burn_x: f64) -> String {
    let bars: HashMap<i64, &Bar> = poster.bars.iter().map(|bar| (bar.id, bar)).collect();
    let steps = outlook.schedule.chain.iter().map(|step| outlook.tasks[step.task].id);
    let shown: Vec<&Bar> = steps.filter_map(|id| bars.get(&id).copied()).collect();
    let middle = |bar: &Bar| bar.y + BAR / 2.0;
    let mut path = String::new();
    for pair in shown.windows(2) {
        let (from, to) = (pair[0], pair[1]);
        let _ = write!(path, "M{:.1} {:.1}L{:.1} {:.1}", from.x + from.width, middle(from), to.x, middle(to));
    }
    if let Some(last) = shown.last() {
        let _ = write!(path, "M{:.1} {:.1}L{burn_x:.1} {:.1}", last.x + last.width, middle(last), poster.floor);
    }
    path
}

#[cfg(test)]
mod tests;
