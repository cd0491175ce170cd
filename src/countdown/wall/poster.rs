//! How the wall plan is drawn: a bar with its name for each task, on one sheet, in the
//! largest type with which everything fits.

use crate::countdown::Outlook;
use crate::countdown::drawing::{self, Axis, KeyDays, Rows, Shown, Tick, Upright, number, shortened, uprights, width};
use crate::web::words::{self, tidy};
use std::collections::HashMap;
use std::fmt::Write;
use time::Date;

/// Width by height. With the head and the foot, it fills a sheet of 11 by 17 inches, and
/// nearly one of A3.
const ASPECT: f64 = 1.9;
/// The narrowest sheet. The narrower it is, the larger the type, and larger isn't needed.
const NARROWEST: f64 = 1_100.0;
/// Where the lanes start, to the right of their names.
const LEFT: f64 = 136.0;
/// Between the last day and the edge; a late bar on that day sticks out by its triangle.
const MARGIN: f64 = 18.0;
/// Between a name and the edge.
const EDGE: f64 = 4.0;
/// Where the first lane starts, below the names of the weeks.
const TOP: f64 = 26.0;
/// Below the lanes, for today, burn day, and the rain date.
const FOOT: f64 = 54.0;
const PITCH: f64 = 13.0;
const BAR: f64 = 9.0;
const SHORTEST: f64 = 5.0;
const LANE_GAP: f64 = 7.0;
/// The sign of a date.
const POINT: f64 = 9.0;
/// The triangle after a late bar.
const FLAG: f64 = 11.0;
/// The type of names, of the weeks, and of today and burn day.
const NAMES: f64 = 11.0;
const WEEKS: f64 = 11.0;
const UPRIGHTS: f64 = 12.5;
/// Between a bar and its name.
const SPACE: f64 = 4.0;
/// Between a name and what follows.
const GAP: f64 = 7.0;

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

#[derive(Debug)]
pub(super) struct Lane {
    pub name: &'static str,
    /// The baseline of its name.
    pub y: f64,
    /// The line under it.
    pub rule: f64,
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

/// What goes into a lane: a task, or a date on which there is nothing to do.
#[derive(Debug)]
struct Item {
    task: Option<Shown>,
    start: Date,
    end: Date,
    name: String,
    /// How wide the name is.
    room: f64,
}

/// A name beside its bar, and all that the two take up.
#[derive(Debug, Clone, Copy)]
struct Side {
    anchor: &'static str,
    x: f64,
    from: f64,
    until: f64,
}

/// Where an item goes in its lane.
#[derive(Debug, Clone, Copy)]
struct Spot {
    left: f64,
    right: f64,
    row: usize,
    name_x: f64,
    name_row: usize,
    anchor: &'static str,
}

impl Item {
    fn of_task(outlook: &Outlook, shown: Shown) -> Self {
        let task = &outlook.tasks[shown.place];
        let name = format!("{} · {}", task.details.title, task.responsible.short());
        Self { task: Some(shown), start: shown.start, end: shown.end, room: width(&name, NAMES), name }
    }

    fn of_date(on: Date, name: &str) -> Self {
        Self { task: None, start: on, end: on, name: name.to_owned(), room: width(name, NAMES) }
    }

    fn flag(&self) -> f64 {
        if self.task.is_some_and(|task| task.kind == "late") { FLAG } else { 0.0 }
    }

    /// Puts it into the first row with room for bar and name. A name goes after its bar. If
    /// it would cross burn day there, or run off the sheet, it goes before it if it can.
    fn put(&self, axis: &Axis, edge: f64, rows: &mut Rows) -> Spot {
        let left = axis.start(self.start);
        let right = if self.task.is_some() { axis.end(self.end).max(left + SHORTEST) } else { left + POINT };
        let tail = right + self.flag();
        let after = Side { anchor: "start", x: tail + SPACE, from: left, until: tail + SPACE + self.room };
        let before = Side { anchor: "end", x: left - SPACE, from: left - SPACE - self.room, until: tail };
        let crosses = left < axis.burn() && axis.burn() < after.until;
        let sides = if crosses { [before, after] } else { [after, before] };
        let is_on_sheet = |side: &&Side| side.from >= LEFT && side.until <= edge;
        let found = (0..=rows.count()).find_map(|row| {
            let mut fitting = sides.iter().filter(is_on_sheet);
            Some((row, *fitting.find(|side| rows.is_free(row, (side.from, side.until + GAP)))?))
        });
        let Some((row, side)) = found else {
            return self.put_above_name((left, right), edge, rows);
        };
        rows.take(row, (side.from, side.until + GAP));
        Spot { left, right, row, name_x: side.x, name_row: row, anchor: side.anchor }
    }

    /// There is no room for the name on either side of the bar, so it goes underneath.
    fn put_above_name(&self, (left, right): (f64, f64), edge: f64, rows: &mut Rows) -> Spot {
        let name_x = left.min(edge - self.room).max(LEFT);
        let bar = (left, right + self.flag() + GAP);
        let name = (name_x, (name_x + self.room).min(edge) + GAP);
        let is_free = |row: &usize| rows.is_free(*row, bar) && rows.is_free(row + 1, name);
        let row = (0..rows.count()).find(is_free).unwrap_or(rows.count());
        rows.take(row, bar);
        rows.take(row + 1, name);
        Spot { left, right, row, name_x, name_row: row + 1, anchor: "start" }
    }
}

/// The lanes on a sheet of some width.
struct Sheet {
    width: f64,
    axis: Axis,
    /// For each lane where its items go, and how many rows they fill.
    lanes: Vec<(Vec<Spot>, usize)>,
}

impl Sheet {
    fn new(width: f64, days: &KeyDays, span: (Date, Date), lanes: &[(&'static str, Vec<Item>)]) -> Self {
        let axis = Axis::new(days.burn.date(), span, (LEFT, width - MARGIN));
        let lane = |(_, items): &(&'static str, Vec<Item>)| {
            let mut rows = Rows::default();
            let spots: Vec<Spot> = items.iter().map(|item| item.put(&axis, width - EDGE, &mut rows)).collect();
            (spots, rows.count())
        };
        Self { width, axis, lanes: lanes.iter().map(lane).collect() }
    }

    /// The narrowest sheet that is high enough for its lanes. On a wider one they need fewer
    /// rows and there is more room, so this ends.
    fn fitting(days: &KeyDays, span: (Date, Date), lanes: &[(&'static str, Vec<Item>)]) -> Self {
        let mut sheet = Self::new(NARROWEST, days, span, lanes);
        while sheet.needed() > sheet.height() {
            let wider = (sheet.needed() / sheet.height()).sqrt().max(1.02);
            sheet = Self::new(sheet.width * wider, days, span, lanes);
        }
        sheet
    }

    fn height(&self) -> f64 {
        self.width / ASPECT
    }

    fn needed(&self) -> f64 {
        let lanes = self.lanes.iter().map(|(_, rows)| PITCH * number(*rows) + LANE_GAP);
        TOP + lanes.sum::<f64>() + FOOT
    }
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
            uprights: uprights(&sheet.axis, days, sheet.width, (floor, UPRIGHTS)),
        };
        // What is left of the height is shared out among the lanes.
        let gap = LANE_GAP + (sheet.height() - sheet.needed()) / number(lanes.len().max(1));
        let mut y = TOP;
        for ((name, items), (spots, rows)) in lanes.iter().zip(&sheet.lanes) {
            let bottom = y + PITCH * number(*rows) + gap;
            poster.lanes.push(Lane { name, y: tidy(y + gap / 2.0 + 11.0), rule: tidy(bottom) });
            for (item, spot) in items.iter().zip(spots) {
                poster.add(outlook, item, spot, (y + gap / 2.0, edge));
            }
            y = bottom;
        }
        poster.chain = chain_path(outlook, &poster, tidy(sheet.axis.burn()));
        poster
    }

    /// Adds an item of a lane whose first row starts at `top`.
    fn add(&mut self, outlook: &Outlook, item: &Item, spot: &Spot, (top, edge): (f64, f64)) {
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
