//! The timeline: strands as lanes over the weeks around burn day, as low as it can be. It
//! works out plain numbers, so the template only has to place them.

use super::Outlook;
use super::drawing::{self, Axis, KeyDays, Lane, Rows, Shown, Tick, Upright, number, uprights, width};
use crate::events::Event;
use crate::web::words::{Reader, tidy};
use std::fmt::Write;

const WIDTH: f64 = 1200.0;
const LEFT: f64 = 122.0;
/// A late bar on the last day sticks out by its triangle.
const RIGHT: f64 = 1186.0;
/// Where the first lane starts, below the names of the weeks.
const TOP: f64 = 21.0;
const PITCH: f64 = 7.5;
const BAR: f64 = 5.0;
const SHORTEST: f64 = 4.0;
const LANE_GAP: f64 = 4.0;
/// A lane is at least as high as its name.
const LOWEST_LANE: f64 = 14.0;
/// The triangle after a late bar.
const FLAG: f64 = 8.0;
/// The type of the weeks, of today and burn day, and of the names of bars.
const WEEKS: f64 = 11.0;
const UPRIGHTS: f64 = 12.0;
const NAMES: f64 = 9.0;
/// Between a bar and its name, and between a name and what follows.
const SPACE: f64 = 5.0;
/// Names don't make a lane higher than this many rows.
const NAMED_ROWS: usize = 5;

#[derive(Debug)]
pub(super) struct Ruler {
    pub height: f64,
    /// The bottom of the lanes.
    pub floor: f64,
    pub weeks: Vec<Tick>,
    pub lanes: Vec<Lane>,
    pub bars: Vec<Bar>,
    /// The line that joins the critical path, as an SVG path.
    pub chain: String,
    pub uprights: Vec<Upright>,
}

#[derive(Debug)]
pub(super) struct Bar {
    pub x: f64,
    pub y: f64,
    pub width: f64,
    pub kind: &'static str,
    pub in_chain: bool,
    /// The triangle after a late bar, as an SVG path; empty on others.
    pub triangle: String,
    /// Where its name goes, if it is on the critical path and there is room.
    pub name: Option<Name>,
    pub id: i64,
    pub title: String,
    pub strand: &'static str,
    pub span: String,
    pub says: &'static str,
}

#[derive(Debug)]
pub(super) struct Name {
    pub x: f64,
    pub y: f64,
    pub anchor: &'static str,
}

/// A bar's place in its lane.
#[derive(Debug, Clone, Copy, Default)]
struct Spot {
    left: f64,
    right: f64,
    row: usize,
    /// Where its name starts, or with "end" where it ends.
    name: Option<(f64, &'static str)>,
}

impl Ruler {
    pub fn draw(event: &Event, outlook: &Outlook) -> Self {
        Self::of(&KeyDays::of(event, outlook), outlook)
    }

    fn of(days: &KeyDays, outlook: &Outlook) -> Self {
        let strands = drawing::lanes(outlook);
        let axis = Axis::new(days.burn.date(), days.span(&strands), (LEFT, RIGHT));
        let (mut lanes, mut bars, mut y) = (Vec::new(), Vec::new(), TOP);
        for (strand, shown) in &strands {
            let (spots, rows) = spots(&axis, outlook, shown);
            let used = (number(rows) * PITCH).max(LOWEST_LANE);
            lanes.push(Lane { name: strand.label(), y: y + 10.0, rule: y + used + LANE_GAP / 2.0 - 1.0 });
            bars.extend(shown.iter().zip(spots).map(|(task, spot)| bar(outlook, task, spot, y)));
            y += used + LANE_GAP;
        }
        let uprights = uprights(&axis, days, WIDTH, y, UPRIGHTS);
        let lowest = uprights.iter().map(|upright| upright.text_y).fold(y, f64::max);
        let chain = chain_path(outlook, &bars, tidy(axis.burn()));
        Self { height: tidy(lowest + 5.0), floor: y, weeks: axis.weeks(WIDTH, WEEKS), lanes, bars, chain, uprights }
    }
}

/// Where the bars of a lane go, in the same order, and how many rows they fill. Those on the
/// critical path choose first, since they bring their names.
fn spots(axis: &Axis, outlook: &Outlook, shown: &[Shown]) -> (Vec<Spot>, usize) {
    let mut places = Places::default();
    let mut spots = vec![Spot::default(); shown.len()];
    let (named, others): (Vec<usize>, Vec<usize>) = (0..shown.len()).partition(|&at| shown[at].in_chain);
    for at in named.into_iter().chain(others) {
        let title = outlook.tasks[shown[at].place].details.title.as_str();
        spots[at] = places.put(axis, &shown[at], title);
    }
    (spots, places.rows.count())
}

/// What is taken in a lane.
#[derive(Debug, Default)]
struct Places {
    rows: Rows,
    /// Names are higher than a row, so those in neighboring rows must not overlap either.
    names: Rows,
}

impl Places {
    fn put(&mut self, axis: &Axis, task: &Shown, title: &str) -> Spot {
        let left = axis.start(task.start);
        let right = axis.end(task.end).max(left + SHORTEST);
        let tail = right + flag(task.kind);
        let spot = Spot { left, right, ..Spot::default() };
        if task.in_chain {
            let room = width(title, NAMES);
            let after = (tail + SPACE, tail + SPACE + room);
            let before = (left - SPACE - room, left - SPACE);
            for row in 0..NAMED_ROWS {
                for (name, x, anchor) in [(after, after.0, "start"), (before, before.1, "end")] {
                    let all = (name.0.min(left) - SPACE, name.1.max(tail) + SPACE);
                    let fits = name.0 >= LEFT && name.1 <= WIDTH;
                    if fits && self.rows.is_free(row, all) && self.has_room_for_name(row, name) {
                        self.rows.take(row, all);
                        self.names.take(row, name);
                        return Spot { row, name: Some((x, anchor)), ..spot };
                    }
                }
            }
        }
        Spot { row: self.rows.put((left - 1.0, tail + 1.0)), ..spot }
    }

    fn has_room_for_name(&self, row: usize, name: (f64, f64)) -> bool {
        (row.saturating_sub(1)..=row + 1).all(|near| self.names.is_free(near, name))
    }
}

fn flag(kind: &str) -> f64 {
    if kind == "late" { FLAG } else { 0.0 }
}

fn triangle(kind: &str, x: f64, y: f64) -> String {
    if kind == "late" { format!("M{x:.1} {y:.1}l3 -6l3 6z") } else { String::new() }
}

/// A bar of a lane that starts at `y`.
fn bar(outlook: &Outlook, shown: &Shown, spot: Spot, y: f64) -> Bar {
    let task = &outlook.tasks[shown.place];
    let day = |date| Reader::App.near_day(date, outlook.today);
    let (start, end) = (day(shown.start), day(shown.end));
    let y = y + PITCH * number(spot.row);
    let (x, right) = (tidy(spot.left), tidy(spot.right));
    let name = |(x, anchor)| Name { x: tidy(x), y: tidy(y + BAR / 2.0 + 2.9), anchor };
    Bar {
        x,
        y,
        width: tidy(right - x),
        kind: shown.kind,
        in_chain: shown.in_chain,
        triangle: triangle(shown.kind, right + 1.5, y + 5.5),
        name: spot.name.map(name),
        id: task.id,
        title: task.details.title.clone(),
        strand: task.details.strand.label(),
        span: if shown.start == shown.end { start } else { format!("{start} to {end}") },
        says: shown.says,
    }
}

/// From the end of each task on the critical path to the start of the next, and from
/// the last one to burn day.
fn chain_path(outlook: &Outlook, bars: &[Bar], burn_x: f64) -> String {
    let steps = outlook.schedule.chain.iter().map(|step| outlook.tasks[step.task].id);
    let shown: Vec<&Bar> = steps.filter_map(|id| bars.iter().find(|bar| bar.id == id)).collect();
    let end = |bar: &Bar| bar.x + bar.width + flag(bar.kind);
    let middle = |bar: &Bar| bar.y + BAR / 2.0;
    let mut path = String::new();
    for pair in shown.windows(2) {
        let (end, from, to) = (end(pair[0]), middle(pair[0]), middle(pair[1]));
        let _ = write!(path, "M{end:.1} {from:.1}H{:.1}V{to:.1}H{:.1}", end + 2.0, pair[1].x);
    }
    if let Some(last) = shown.last() {
        let _ = write!(path, "M{:.1} {:.1}H{burn_x:.1}", end(last), middle(last));
    }
    path
}

#[cfg(test)]
mod tests;
