//! The press tasks of the plan on the front page.

use super::split::{Split, Urgency};
use crate::calc::plan::Row;
use crate::countdown::{Outlook, Strand, Task, TaskState};
use crate::press::timeline::{AFTERWARDS, Step};
use crate::web::words::{self, Reader};
use time::{Date, Duration};

/// Open tasks within this time are shown, and at least the next one.
const SOON: Duration = Duration::days(14);

/// A press task of the plan.
pub(super) struct StepLine {
    pub id: i64,
    pub title: String,
    pub due: String,
    pub due_on: String,
    pub stands: String,
    pub sign: &'static str,
    pub is_late: bool,
    is_soon: bool,
}

/// Is it a press task?
fn is_press(task: &Task) -> bool {
    task.details.strand == Strand::Press || task.key.as_deref().is_some_and(|key| AFTERWARDS.contains(&key))
}

/// The press tasks by their day: a late one is a problem, and so many are next.
pub(super) fn steps(outlook: &Outlook, today: Date) -> Split<StepLine> {
    let mut rows: Vec<(&Task, &Row)> = outlook.rows().filter(|(task, _)| is_press(task)).collect();
    rows.sort_by_key(|(task, row)| (task.done_on.unwrap_or(row.due), task.id));
    let to_come = rows.iter().filter(|(task, row)| task.is_open() && row.due >= today);
    let until = to_come.map(|(_, row)| row.due).min().map_or(today, |first| first.max(today + SOON));
    Split::of(rows.into_iter().map(|row| step_line(row, today, until)), |line| match (line.is_late, line.is_soon) {
        (true, _) => Urgency::Now,
        (false, true) => Urgency::Soon,
        (false, false) => Urgency::Nothing,
    })
}

fn step_line((task, row): (&Task, &Row), today: Date, until: Date) -> StepLine {
    let is_late = task.is_open() && row.due < today;
    StepLine {
        id: task.id,
        title: task.details.title.clone(),
        due: Reader::App.near_day(task.done_on.unwrap_or(row.due), today),
        due_on: words::iso(row.due),
        stands: if is_late { "late".to_owned() } else { task.state.to_string() },
        sign: match task.state {
            TaskState::Done => "done",
            TaskState::NotNeeded => "dropped",
            _ if is_late => "late",
            TaskState::Waiting => "waiting",
            TaskState::ToDo => "todo",
        },
        is_late,
        is_soon: task.is_open() && row.due <= until,
    }
}

/// The press tasks that are still open.
pub(super) fn to_come(outlook: &Outlook) -> Vec<Step> {
    let open = outlook.rows().filter(|(task, _)| is_press(task) && task.is_open());
    let step = |(task, row): (&Task, &Row)| {
        let key = task.key.clone().unwrap_or_default();
        Step { key, title: task.details.title.clone(), due: row.due }
    };
    open.map(step).collect()
}
