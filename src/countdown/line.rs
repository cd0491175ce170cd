//! One task, or one thing that another place reports, on one line.

use super::places::DueLine;
use super::{Outlook, Task, TaskState, explain};
use crate::accounts::{Role, User};
use crate::calc::plan::{PlanStatus, Row};
use crate::web::words::{self, Reader};
use time::Date;

/// One task on one line.
#[derive(Debug)]
pub(super) struct Line {
    pub title: String,
    /// Its page.
    pub href: String,
    /// The smaller line beneath it.
    pub beneath: String,
    pub who: String,
    pub due: String,
    pub is_late: bool,
    /// The sign before it: `late`, `todo`, `waiting`, `risk`, `done` or `dropped`.
    pub sign: &'static str,
    /// What the sign means, in words.
    pub says: &'static str,
    pub state: &'static str,
    pub is_open: bool,
    pub is_waiting: bool,
    /// May whoever looks at it update its status?
    pub may_act: bool,
    /// Name and phone of everyone to call about it, for those who may see them.
    pub calls: Vec<(String, String)>,
    /// What the link to where it is done says; nothing for a task.
    pub act: &'static str,
}

impl Line {
    pub fn of(event_id: i64, outlook: &Outlook, place: usize, user: &User) -> Self {
        let (task, row) = outlook.row(place);
        let sign = match (task.state, row.status) {
            (TaskState::Done, _) => "done",
            (TaskState::NotNeeded, _) => "dropped",
            (_, PlanStatus::Late) => "late",
            (TaskState::Waiting, _) => "waiting",
            (_, PlanStatus::AtRisk | PlanStatus::Impossible) if !outlook.is_far_off(place) => "risk",
            _ => "todo",
        };
        Self {
            title: task.details.title.clone(),
            href: format!("/events/{event_id}/tasks/{}", task.id),
            beneath: beneath(outlook, place, task, row),
            who: task.who().to_owned(),
            due: explain::due(outlook, task, row),
            is_late: row.status == PlanStatus::Late,
            sign,
            says: if outlook.is_far_off(place) && sign == "todo" { "after burn day" } else { explain::status(row) },
            state: task.state.as_str(),
            is_open: task.is_open() && !task.is_burn,
            is_waiting: task.state == TaskState::Waiting,
            may_act: task.is_open_to(user) && !task.is_burn,
            calls: Vec::new(),
            act: "",
        }
    }

    /// Something another place reports; it is done there.
    pub fn elsewhere(line: &DueLine, user: &User, today: Date) -> Self {
        let DueLine { due, responsible, .. } = line;
        let is_late = due.on < today;
        let calls = line.calls_for(user);
        Self {
            title: due.title.clone(),
            href: due.href.clone(),
            beneath: due.beneath_for(user),
            who: responsible.says().to_owned(),
            due: match usize::try_from((today - due.on).whole_days()) {
                Ok(days @ 1..) => format!("{} overdue", words::count(days, "day", "days")),
                Ok(0) | Err(_) => Reader::App.near_day(due.on, today),
            },
            is_late,
            sign: if is_late { "late" } else { "todo" },
            says: if is_late { "late" } else { "to do" },
            state: TaskState::ToDo.as_str(),
            is_open: true,
            is_waiting: false,
            may_act: false,
            act: match user.role {
                Role::Reader => "",
                _ if calls.is_empty() => "Open",
                _ => "Log it",
            },
            calls,
        }
    }
}

fn beneath(outlook: &Outlook, place: usize, task: &Task, row: &Row) -> String {
    let mut parts = Vec::new();
    if !outlook.is_far_off(place) {
        parts.extend(explain::warning(outlook, task, row));
    }
    if let (TaskState::ToDo, Some(on)) = (task.state, task.started_on) {
        parts.push(format!("started {}", Reader::App.near_day(on, outlook.today)));
    }
    if task.state == TaskState::Waiting {
        parts.push(format!("waiting for {}", task.waiting_for));
    }
    let before = explain::held_up(outlook, place);
    if task.is_open() && before > 0 {
        parts.push(format!("holds up {}", words::count(before, "later task", "later tasks")));
    }
    if let Some(earlier) = waits_for(outlook, place, task) {
        parts.push(earlier);
    }
    if parts.is_empty() {
        parts.push(task.details.strand.label().to_owned());
    }
    parts.join(" · ")
}

/// What keeps a task from starting today.
fn waits_for(outlook: &Outlook, place: usize, task: &Task) -> Option<String> {
    if task.state != TaskState::ToDo || task.started_on.is_some() || task.is_burn || outlook.can_start(place) {
        return None;
    }
    let earlier = task.details.links.iter().filter_map(|link| outlook.place(link.earlier));
    let open: Vec<usize> = earlier.filter(|&earlier| outlook.tasks[earlier].is_open()).collect();
    let start = Reader::App.near_day(outlook.schedule.rows[place].earliest_start, outlook.today);
    Some(match open.as_slice() {
        [] => format!("can start {start}"),
        [one] => format!("waits for “{}”", outlook.tasks[*one].details.title),
        [one, rest @ ..] => format!("waits for “{}” and {} more", outlook.tasks[*one].details.title, rest.len()),
    })
}
