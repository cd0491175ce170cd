//! What the timeline and the wall plan have in common: the tasks as bars, lane by lane, and
//! how days, rows, and names are placed.

mod axis;
mod rows;
#[cfg(test)]
pub(super) mod sample;
mod text;
mod uprights;

use super::{Outlook, Strand, Task, TaskState};
use crate::calc::plan::{PlanStatus, Row};
use crate::events::Event;
use time::{Date, Duration, PrimitiveDateTime};

pub(super) use axis::{Axis, Tick};
pub(super) use rows::Rows;
pub(super) use text::{shortened, width};
pub(super) use uprights::{Upright, uprights};

/// A task as a bar.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Shown {
    /// The task's index in the outlook.
    pub place: usize,
    pub start: Date,
    pub end: Date,
    /// `done`, `late`, `waiting` or `todo`.
    pub kind: &'static str,
    /// The same in words.
    pub says: &'static str,
    /// Is it on the critical path?
    pub in_chain: bool,
}

/// The name of a strand, and the line under its tasks.
#[derive(Debug)]
pub(super) struct Lane {
    pub name: &'static str,
    /// The baseline of its name.
    pub y: f64,
    /// The line under it.
    pub rule: f64,
}

/// The days that every drawing marks.
#[derive(Debug, Clone, Copy)]
pub(super) struct KeyDays {
    pub today: Date,
    /// First ignition.
    pub burn: PrimitiveDateTime,
    pub rain_on: Option<Date>,
}

impl KeyDays {
    pub fn of(event: &Event, outlook: &Outlook) -> Self {
        let details = &event.details;
        Self { today: outlook.today, burn: details.burn_on.with_time(details.burn_time), rain_on: details.rain_on }
    }

    /// The first and the last day of a drawing with these lanes.
    pub fn span(&self, lanes: &[(Strand, Vec<Shown>)]) -> (Date, Date) {
        let (burn_on, rain_on) = (self.burn.date(), self.rain_on.unwrap_or(self.burn.date()));
        let marked = (self.today.min(burn_on).min(rain_on), self.today.max(burn_on).max(rain_on));
        let bars = lanes.iter().flat_map(|(_, shown)| shown);
        bars.fold(marked, |(first, last), bar| (first.min(bar.start), last.max(bar.end)))
    }
}

/// The strands that have something to draw, each with its tasks by their start. Burn day
/// itself is a line, not a bar.
pub(super) fn lanes(outlook: &Outlook) -> Vec<(Strand, Vec<Shown>)> {
    let chain: Vec<usize> = outlook.schedule.chain.iter().map(|step| step.task).collect();
    let lane = |strand: Strand| {
        let here = (0..outlook.tasks.len()).filter(|&place| outlook.tasks[place].details.strand == strand);
        let mut shown: Vec<Shown> = here.filter_map(|place| bar(outlook, place, &chain)).collect();
        shown.sort_by_key(|bar| (bar.start, bar.end, bar.place));
        (strand, shown)
    };
    Strand::ALL.into_iter().map(lane).filter(|(_, shown)| !shown.is_empty()).collect()
}

fn bar(outlook: &Outlook, place: usize, chain: &[usize]) -> Option<Shown> {
    let (task, row) = outlook.row(place);
    if task.is_burn {
        return None;
    }
    let (start, end) = days(task, row, outlook.today)?;
    let (kind, says) = match (task.state, row.status) {
        (TaskState::Done, _) => ("done", "done"),
        (_, PlanStatus::Late) => ("late", "late"),
        (TaskState::Waiting, _) => ("waiting", "waiting"),
        _ => ("todo", "to do"),
    };
    Some(Shown { place, start, end, kind, says, in_chain: chain.contains(&place) })
}

/// The days a task fills: the actual days if it is done or started, or else the
/// latest days that still work.
fn days(task: &Task, row: &Row, today: Date) -> Option<(Date, Date)> {
    let end = if row.status == PlanStatus::Late { today } else { row.due };
    match task.state {
        TaskState::NotNeeded => None,
        TaskState::Done => {
            let done = task.done_on.unwrap_or(row.due);
            let effort = Duration::days(i64::from(task.details.duration) - 1);
            Some((task.started_on.unwrap_or(done - effort).min(done), done))
        }
        TaskState::Waiting => {
            let start = task.started_on.unwrap_or(row.latest_start);
            Some((start, end.max(start)))
        }
        TaskState::ToDo => {
            let start = task.started_on.unwrap_or(row.latest_start).min(end);
            Some((start, end))
        }
    }
}

/// A count of rows or lanes, to calculate with.
pub(super) fn number(count: usize) -> f64 {
    f64::from(u32::try_from(count).unwrap_or(u32::MAX))
}
