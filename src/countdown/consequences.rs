//! What a change to the plan would do, shown before it is saved.

use super::{Outlook, Task};
use crate::calc::plan::PlanStatus;
use crate::error::Result;
use std::sync::Arc;
use time::Date;

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
        let after = Outlook::of(tasks, Arc::clone(&before.calendar), before.schedule.burn_day, before.today)?;
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
