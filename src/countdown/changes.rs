//! What a change to the plan would do, shown before it is saved.

use super::store::Refused;
use super::{Details, LinkTo, Outlook, Responsible, Task, TaskState, outlook};
use crate::calc::calendar::Basis;
use crate::calc::plan::{Fault, PlanStatus};
use crate::error::Result;
use time::{Date, OffsetDateTime};

/// The number of a task that isn't saved yet.
const UNSAVED: i64 = 0;

/// The differences between two plans.
#[derive(Debug)]
pub struct Consequences {
    pub spare_before: i32,
    pub spare_after: i32,
    pub earliest_after: Date,
    /// Tasks whose due date changes, in order of the new date.
    pub moved: Vec<Shift>,
    /// Titles of tasks that become late or can't be finished in time.
    pub newly_late: Vec<String>,
}

/// A due date that changes. A new task has none before, a removed task has none
/// after.
#[derive(Debug)]
pub struct Shift {
    pub title: String,
    pub before: Option<Date>,
    pub after: Option<Date>,
}

impl Consequences {
    /// Compares the current plan with the changed tasks.
    ///
    /// # Errors
    /// If those tasks can't form a plan.
    pub fn between(before: &Outlook, tasks: Vec<Task>) -> Result<Self> {
        let after =
            Outlook::of(tasks, std::sync::Arc::clone(&before.calendar), before.schedule.burn_day, before.today)?;
        let trouble = |status| matches!(status, PlanStatus::Late | PlanStatus::Impossible);
        let mut moved = Vec::new();
        let mut newly_late = Vec::new();
        for (task, row) in after.rows().filter(|(task, _)| task.is_open() && !task.is_burn) {
            let old = before.place(task.id).map(|place| before.schedule.rows[place]);
            if old.is_none_or(|old| old.due != row.due) {
                let title = task.details.title.clone();
                moved.push(Shift { title, before: old.map(|old| old.due), after: Some(row.due) });
            }
            if trouble(row.status) && !old.is_some_and(|old| trouble(old.status)) {
                newly_late.push(task.details.title.clone());
            }
        }
        moved.sort_by_key(|shift| shift.after);
        let gone = before.rows().filter(|(task, _)| after.place(task.id).is_none());
        moved.extend(gone.map(|(task, row)| Shift {
            title: task.details.title.clone(),
            before: Some(row.due),
            after: None,
        }));
        Ok(Self {
            spare_before: before.schedule.spare,
            spare_after: after.schedule.spare,
            earliest_after: after.schedule.earliest_burn_day,
            moved,
            newly_late,
        })
    }
}

/// Can this details be saved as the task with that number, or as a new one?
pub(super) fn check(tasks: &[Task], id: Option<i64>, details: &Details) -> Result<(), Refused> {
    let known = |link: &LinkTo| tasks.iter().any(|task| task.id == link.earlier);
    if !details.links.iter().all(known) {
        return Err(Refused::Gone);
    }
    let changed = with(tasks, id, details);
    // Dates don't matter for what waits for what.
    match outlook::plan_of(&changed, Date::MAX, Date::MIN) {
        Ok(_) => Ok(()),
        Err(Fault::Loop(ring)) => {
            Err(Refused::Loop(ring.into_iter().map(|place| changed[place].details.title.clone()).collect()))
        }
        Err(_) => Err(Refused::Gone),
    }
}

/// The tasks, with this details replacing that task or added to them.
pub(super) fn with(tasks: &[Task], id: Option<i64>, details: &Details) -> Vec<Task> {
    let mut tasks = tasks.to_vec();
    match tasks.iter_mut().find(|task| Some(task.id) == id) {
        Some(task) => task.details = details.clone(),
        None => tasks.push(Task {
            id: UNSAVED,
            key: None,
            details: details.clone(),
            notices: Vec::new(),
            person_id: None,
            responsible: Responsible::of(details.owner, None, &[]),
            state: TaskState::ToDo,
            waiting_for: String::new(),
            started_on: None,
            done_on: None,
            state_at: OffsetDateTime::UNIX_EPOCH,
            state_by: None,
            is_burn: false,
            version: 1,
        }),
    }
    tasks
}

/// The tasks without that one. Tasks that waited for it now wait for what it waited
/// for, so the rest stay in order.
pub(super) fn without(tasks: &[Task], id: i64) -> Vec<Task> {
    let bridge: Vec<i64> = tasks
        .iter()
        .filter(|task| task.id == id)
        .flat_map(|task| task.details.links.iter().map(|link| link.earlier))
        .collect();
    let mut left: Vec<Task> = tasks.iter().filter(|task| task.id != id).cloned().collect();
    for task in &mut left {
        let links = &mut task.details.links;
        if !links.iter().any(|link| link.earlier == id) {
            continue;
        }
        links.retain(|link| link.earlier != id);
        for &earlier in &bridge {
            if links.iter().all(|link| link.earlier != earlier) {
                links.push(LinkTo { earlier, lag: 0, basis: Basis::Calendar });
            }
        }
    }
    left
}
