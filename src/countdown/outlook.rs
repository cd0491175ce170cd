//! An event's plan with its dates, which every page needs.

use super::{Task, TaskState, explain, store};
use crate::calc::calendar::{Basis, Calendar};
use crate::calc::plan::{self, Link, Plan, PlanStatus, Progress, Row, Schedule};
use crate::closed_days;
use crate::error::{Error, Result};
use crate::events::Event;
use crate::state::App;
use anyhow::anyhow;
use std::collections::HashMap;
use std::sync::Arc;
use time::{Date, OffsetDateTime};

/// The tasks of an event, and their dates as of today.
#[derive(Debug)]
pub struct Outlook {
    pub tasks: Vec<Task>,
    pub plan: Plan,
    pub schedule: Schedule,
    pub calendar: Arc<Calendar>,
    pub today: Date,
    place: HashMap<i64, usize>,
}

impl Outlook {
    /// Loads the tasks and works out their dates.
    ///
    /// # Errors
    /// The store's.
    pub async fn load(app: &App, event: &Event, now: OffsetDateTime) -> Result<Self> {
        let calendar = closed_days::calendar(app).await?;
        let tasks = store::of_event(app.db.read(), event.id).await?;
        Self::of(tasks, calendar, event.details.burn_on, event.today(now))
    }

    /// Works out the dates of tasks that are already loaded.
    ///
    /// # Errors
    /// If the tasks can't form a plan, which the store should never allow.
    pub fn of(tasks: Vec<Task>, calendar: Arc<Calendar>, burn_on: Date, today: Date) -> Result<Self> {
        let plan = plan_of(&tasks, burn_on, today).map_err(|fault| Error::Internal(anyhow!("no plan: {fault:?}")))?;
        let schedule = plan.schedule(&calendar, burn_on, today);
        let place = places(&tasks);
        Ok(Self { tasks, plan, schedule, calendar, today, place })
    }

    /// A task's index in the lists.
    #[must_use]
    pub fn place(&self, id: i64) -> Option<usize> {
        self.place.get(&id).copied()
    }

    /// "2 working days overdue"; none unless the task is late.
    #[must_use]
    pub fn overdue(&self, id: i64) -> Option<String> {
        let (task, row) = self.row(self.place(id)?);
        (row.status == PlanStatus::Late).then(|| explain::overdue(self, task, row))
    }

    /// A task with its dates.
    #[must_use]
    pub fn row(&self, place: usize) -> (&Task, &Row) {
        (&self.tasks[place], &self.schedule.rows[place])
    }

    /// All tasks with their dates.
    pub fn rows(&self) -> impl Iterator<Item = (&Task, &Row)> {
        self.tasks.iter().zip(&self.schedule.rows)
    }

    /// Does this task wait for a burn day that is still ahead? It always has little
    /// time, so that is no reason for a warning yet.
    #[must_use]
    pub fn is_far_off(&self, place: usize) -> bool {
        self.plan.follows_burn(place) && self.today <= self.schedule.burn_day
    }

    /// Can this task start now? Everything it waits for is done, and the wait
    /// afterward is over.
    #[must_use]
    pub fn can_start(&self, place: usize) -> bool {
        let task = &self.tasks[place];
        let first = if task.details.basis == Basis::Working { self.calendar.after(self.today, 0) } else { self.today };
        let is_open = |earlier: usize| self.tasks[earlier].is_open();
        self.schedule.rows[place].earliest_start <= first
            && task.details.links.iter().filter_map(|link| self.place(link.earlier)).all(|earlier| !is_open(earlier))
    }
}

fn places(tasks: &[Task]) -> HashMap<i64, usize> {
    tasks.iter().enumerate().map(|(place, task)| (task.id, place)).collect()
}

/// The tasks as the calculation sees them. Once burn day has passed, it counts as
/// done on that day.
///
/// # Errors
/// If the tasks wait for each other in a circle.
pub(super) fn plan_of(tasks: &[Task], burn_on: Date, today: Date) -> Result<Plan, plan::Fault> {
    let place = places(tasks);
    let burn = tasks.iter().position(|task| task.is_burn).ok_or(plan::Fault::NoBurnDay)?;
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
