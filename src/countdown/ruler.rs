//! The timeline: strands as lanes over the weeks around burn day. It works out plain
//! numbers, so the template only has to place them.

use super::{Outlook, Strand, Task, TaskState};
use crate::calc::plan::{Row, Standing};
use crate::events::Event;
use crate::web::words::Reader;
use std::fmt::Write;
use time::{Date, Duration};

const LEFT: f64 = 122.0;
const RIGHT: f64 = 1190.0;
/// Where the first lane starts, below the names of the weeks.
const TOP: f64 = 24.0;
const PITCH: f64 = 11.0;
const BAR: f64 = 8.0;
const LANE_GAP: f64 = 7.0;
const WEEK: i64 = 7;

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
    pub today: Option<Upright>,
    pub burn: Upright,
    pub rain: Option<Upright>,
}

#[derive(Debug)]
pub(super) struct Tick {
    pub x: f64,
    pub label: String,
}

#[derive(Debug)]
pub(super) struct Lane {
    pub name: &'static str,
    /// The baseline of its name.
    pub y: f64,
    /// The line under it.
    pub rule: f64,
}

#[derive(Debug)]
pub(super) struct Bar {
    pub x: f64,
    pub y: f64,
    pub width: f64,
    pub kind: &'static str,
    pub in_chain: bool,
    /// The triangle on a late bar, as an SVG path; empty on others.
    pub triangle: String,
    pub id: i64,
    pub title: String,
    pub strand: &'static str,
    pub span: String,
    pub says: &'static str,
}

/// A vertical line with its name under it.
#[derive(Debug)]
pub(super) struct Upright {
    pub x: f64,
    pub label: String,
    pub text_x: f64,
    pub anchor: &'static str,
}

/// The days shown.
struct Window {
    from: Date,
    days: f64,
}

impl Window {
    fn round(event: &Event, today: Date) -> Self {
        let burn = event.details.burn_on;
        // Weeks are counted from burn day, so the window starts on a whole week.
        let weeks_ahead = (burn - today.min(burn)).whole_days() / WEEK + 3;
        let from = burn - Duration::days(weeks_ahead.min(40) * WEEK);
        let after = if today > burn { 10 * WEEK } else { 3 * WEEK };
        let rain = event.details.rain_on.map_or(0, |rain| (rain - burn).whole_days() + WEEK);
        let until = burn + Duration::days(after.max(rain.min(8 * WEEK)));
        Self { from, days: whole((until - from).whole_days()) }
    }

    /// Where a day starts.
    fn x(&self, day: Date) -> f64 {
        let x = LEFT + whole((day - self.from).whole_days()) * (RIGHT - LEFT) / self.days;
        (x * 10.0).round() / 10.0
    }
}

#[expect(clippy::cast_precision_loss, reason = "a few hundred days")]
fn whole(days: i64) -> f64 {
    days as f64
}

impl Ruler {
    pub fn draw(event: &Event, outlook: &Outlook) -> Self {
        let window = Window::round(event, outlook.today);
        let chain: Vec<usize> = outlook.schedule.chain.iter().map(|step| step.task).collect();
        let (mut lanes, mut bars, mut placed) = (Vec::new(), Vec::new(), Vec::new());
        let mut y = TOP;
        for strand in Strand::ALL.into_iter().filter(|strand| *strand != Strand::BurnDay) {
            let mut here: Vec<(usize, (Date, Date))> = (0..outlook.tasks.len())
                .filter(|&place| outlook.tasks[place].draft.strand == strand && !outlook.tasks[place].is_burn)
                .filter_map(|place| span(outlook, place).map(|span| (place, span)))
                .filter(|(_, (_, end))| window.x(*end) > LEFT)
                .filter(|(_, (start, _))| window.x(*start) < RIGHT)
                .collect();
            if here.is_empty() {
                continue;
            }
            here.sort_by_key(|&(place, (start, end))| (start, end, place));
            let mut rows: Vec<f64> = Vec::new();
            for (place, (start, end)) in here {
                let x = window.x(start).max(LEFT);
                let right = window.x(end + Duration::DAY).min(RIGHT).max(x + 5.0);
                let row = rows.iter().position(|used| *used + 2.0 <= x).unwrap_or(rows.len());
                if row == rows.len() {
                    rows.push(right);
                } else {
                    rows[row] = right;
                }
                let bar_y = y + PITCH * whole(i64::try_from(row).unwrap_or(0));
                placed.push((place, x, right, bar_y + BAR / 2.0));
                bars.push(bar(outlook, place, (start, end), (x, bar_y, right - x), chain.contains(&place)));
            }
            let used = PITCH * whole(i64::try_from(rows.len().max(1)).unwrap_or(1));
            lanes.push(Lane { name: strand.label(), y: y + 9.0, rule: y + used + LANE_GAP / 2.0 - 1.5 });
            y += used + LANE_GAP;
        }
        Self {
            height: y + 40.0,
            floor: y,
            weeks: weeks(&window, event),
            lanes,
            bars,
            chain: chain_path(&chain, &placed, window.x(event.details.burn_on)),
            today: today(&window, event, outlook.today),
            burn: upright(&window, event.details.burn_on, "burn day", outlook.today),
            rain: event.details.rain_on.map(|on| Upright {
                text_x: window.x(on).min(RIGHT - 60.0),
                ..upright(&window, on, "rain date", outlook.today)
            }),
        }
    }
}

/// The days a task fills: the actual days if it is done or started, or else the
/// latest days that still work.
fn span(outlook: &Outlook, place: usize) -> Option<(Date, Date)> {
    let (task, row) = outlook.row(place);
    let end = if row.standing == Standing::Late { outlook.today } else { row.due };
    match task.state {
        TaskState::NotNeeded => None,
        TaskState::Done => {
            let done = task.done_on.unwrap_or(row.due);
            let effort = Duration::days(i64::from(task.draft.duration) - 1);
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

fn kind(task: &Task, row: &Row) -> (&'static str, &'static str) {
    match (task.state, row.standing) {
        (TaskState::Done, _) => ("done", "done"),
        (_, Standing::Late) => ("late", "late"),
        (TaskState::Waiting, _) => ("waiting", "waiting"),
        _ => ("todo", "to do"),
    }
}

fn bar(
    outlook: &Outlook,
    place: usize,
    (start, end): (Date, Date),
    (x, y, width): (f64, f64, f64),
    in_chain: bool,
) -> Bar {
    let (task, row) = outlook.row(place);
    let (kind, says) = kind(task, row);
    let day = |date| Reader::App.near_day(date, outlook.today);
    let span = if start == end { day(start) } else { format!("{} to {}", day(start), day(end)) };
    Bar {
        x,
        y,
        width: (width * 10.0).round() / 10.0,
        kind,
        in_chain,
        triangle: if kind == "late" { format!("M{} {}l3 -6l3 6z", x + 2.0, y + 7.0) } else { String::new() },
        id: task.id,
        title: task.draft.title.clone(),
        strand: task.draft.strand.label(),
        span,
        says,
    }
}

fn weeks(window: &Window, event: &Event) -> Vec<Tick> {
    let first = (window.from - event.details.burn_on).whole_days() / WEEK;
    let count = window.days / whole(WEEK);
    let each = if count > 30.0 {
        4
    } else if count > 14.0 {
        2
    } else {
        1
    };
    let label = |week: i64| match week {
        _ if week == 0 || week % each != 0 => String::new(),
        ..0 => format!("{} wk before", -week),
        _ => format!("{week} wk after"),
    };
    (first..first + 80)
        .map(|week| Tick { x: window.x(event.details.burn_on + Duration::days(week * WEEK)), label: label(week) })
        .take_while(|tick| tick.x <= RIGHT - 1.0)
        .collect()
}

fn upright(window: &Window, on: Date, name: &str, today: Date) -> Upright {
    let x = window.x(on);
    Upright { x, label: format!("{name}: {}", Reader::App.near_day(on, today)), text_x: x, anchor: "middle" }
}

/// Today's line; its name moves aside when burn day is near.
fn today(window: &Window, event: &Event, today: Date) -> Option<Upright> {
    let line = upright(window, today, "today", today);
    if !(LEFT..=RIGHT).contains(&line.x) {
        return None;
    }
    let gap = window.x(event.details.burn_on) - line.x;
    let (text_x, anchor) = match gap {
        0.0..150.0 => (line.x.min(window.x(event.details.burn_on) - 76.0), "end"),
        -150.0..0.0 => (line.x + 76.0, "start"),
        _ => (line.x.max(LEFT + 20.0), "middle"),
    };
    Some(Upright { text_x, anchor, ..line })
}

/// From the end of each task on the critical path to the start of the next, and from
/// the last one to burn day.
fn chain_path(chain: &[usize], placed: &[(usize, f64, f64, f64)], burn_x: f64) -> String {
    let shown: Vec<&(usize, f64, f64, f64)> =
        chain.iter().filter_map(|task| placed.iter().find(|(place, ..)| place == task)).collect();
    let mut path = String::new();
    for pair in shown.windows(2) {
        let ((_, _, end, from), (_, start, _, to)) = (pair[0], pair[1]);
        let _ = write!(path, "M{end} {from}H{:.1}V{to}H{start}", end + 2.5);
    }
    if let Some((_, _, end, y)) = shown.last() {
        let _ = write!(path, "M{end} {y}H{burn_x}");
    }
    path
}
