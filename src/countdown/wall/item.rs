//! A bar of the wall plan with its name, and where both go in a lane.

use super::measures::{FLAG, GAP, LEFT, NAMES, POINT, SHORTEST, SPACE};
use crate::countdown::Outlook;
use crate::countdown::drawing::{Axis, Rows, Shown, width};
use time::Date;

/// What goes into a lane: a task, or a date on which there is nothing to do.
#[derive(Debug)]
pub(super) struct Item {
    pub task: Option<Shown>,
    pub start: Date,
    pub end: Date,
    pub name: String,
    /// How wide the name is.
    pub room: f64,
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
pub(super) struct Spot {
    pub left: f64,
    pub right: f64,
    pub row: usize,
    pub name_x: f64,
    pub name_row: usize,
    pub anchor: &'static str,
}

impl Item {
    pub fn of_task(outlook: &Outlook, shown: Shown) -> Self {
        let task = &outlook.tasks[shown.place];
        let name = format!("{} · {}", task.details.title, task.responsible.short());
        Self { task: Some(shown), start: shown.start, end: shown.end, room: width(&name, NAMES), name }
    }

    pub fn of_date(on: Date, name: &str) -> Self {
        Self { task: None, start: on, end: on, name: name.to_owned(), room: width(name, NAMES) }
    }

    fn flag(&self) -> f64 {
        if self.task.is_some_and(|task| task.kind == "late") { FLAG } else { 0.0 }
    }

    /// Puts it into the first row with room for bar and name. A name goes after its bar. If
    /// it would cross burn day there, or run off the sheet, it goes before it if it can.
    pub fn put(&self, axis: &Axis, edge: f64, rows: &mut Rows) -> Spot {
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
