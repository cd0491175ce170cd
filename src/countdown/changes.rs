//! The tasks as they would be after a change, and why a change can't be made.

use super::plan::plan_of;
use super::{Details, LinkTo, Responsible, Task, TaskState};
use crate::calc::calendar::Basis;
use crate::calc::plan::Fault;
use time::{Date, OffsetDateTime};

/// The number of a task that isn't saved yet.
const UNSAVED: i64 = 0;

/// Why a task was not changed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Refused {
    /// Someone else changed it in the meantime.
    Stale,
    /// It is gone, or a task it would wait for is.
    Gone,
    /// These tasks would wait for each other; their titles, in order.
    Loop(Vec<String>),
    /// The event already has the most tasks it can.
    Full,
}

/// Can these details be saved as the task with that number, or as a new one?
pub(super) fn check(tasks: &[Task], id: Option<i64>, details: &Details) -> Result<(), Refused> {
    let known = |link: &LinkTo| tasks.iter().any(|task| task.id == link.earlier);
    if !details.links.iter().all(known) {
        return Err(Refused::Gone);
    }
    let changed = with(tasks, id, details);
    // Dates don't matter for what waits for what.
    match plan_of(&changed, Date::MAX, Date::MIN) {
        Ok(_) => Ok(()),
        Err(Fault::Loop(ring)) => {
            Err(Refused::Loop(ring.into_iter().map(|place| changed[place].details.title.clone()).collect()))
        }
        Err(_) => Err(Refused::Gone),
    }
}

/// The tasks, with these details replacing that task or added to them.
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
