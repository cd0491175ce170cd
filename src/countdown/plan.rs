//! An event's tasks as the calculation sees them.

use super::{Task, TaskState};
use crate::calc::plan::{self, Fault, Link, Plan, Progress};
use std::collections::HashMap;
use time::Date;

/// The index of each task, by its number.
pub(super) fn places(tasks: &[Task]) -> HashMap<i64, usize> {
    tasks.iter().enumerate().map(|(place, task)| (task.id, place)).collect()
}

/// The tasks as the calculation sees them. Once burn day has passed, it counts as
/// done on that day.
///
/// # Errors
/// If the tasks wait for each other in a circle.
pub(super) fn plan_of(tasks: &[Task], burn_on: Date, today: Date) -> Result<Plan, Fault> {
    let place = places(tasks);
    let burn = tasks.iter().position(|task| task.is_burn).ok_or(Fault::NoBurnDay)?;
    let tasks = tasks.iter().map(|task| plan::Task {
        duration: task.details.duration,
        basis: task.details.basis,
        lead: task.details.lead,
        notices: task.notices.iter().map(|known| known.notice.clone()).collect(),
        links: task
            .details
            .links
            .iter()
            .map(|link| Link {
                earlier: place.get(&link.earlier).copied().unwrap_or(usize::MAX),
                lag: link.lag,
                basis: link.basis,
            })
            .collect(),
        progress: match task.state {
            _ if task.is_burn && today > burn_on => Progress::Done(burn_on),
            TaskState::ToDo => task.started_on.map_or(Progress::ToDo, |on| Progress::Started(on.min(today))),
            TaskState::Waiting => Progress::Started(task.started_on.unwrap_or(today).min(today)),
            TaskState::Done => Progress::Done(task.done_on.unwrap_or(today)),
            TaskState::NotNeeded => Progress::NotNeeded,
        },
        rain: task.details.rain.rule(),
    });
    Plan::new(tasks.collect(), burn)
}
