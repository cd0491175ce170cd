//! An event's plan with its dates, which every page needs.

use super::plan::{places, plan_of};
use super::{Task, store};
use crate::calc::calendar::{Basis, Calendar};
use crate::calc::plan::{Plan, Row, Schedule};
use crate::closed_days;
use crate::error::{Error, Result};
use crate::events::{self, Event};
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
    pub async fn load(app: &App, event: &Event, now: OffsetDateTime) -> Result<Self> {
        let calendar = closed_days::calendar(app).await?;
        let tasks = store::of_event(app.db.read(), event.id).await?;
        Self::of(tasks, calendar, event.details.burn_on, event.today(now))
    }

    /// The event with this number, and its outlook.
    ///
    /// # Errors
    /// The store's, and if there is no such event.
    pub(super) async fn find(app: &App, event_id: i64, now: OffsetDateTime) -> Result<(Event, Self)> {
        let event = events::found(app.db.read(), event_id).await?;
        let outlook = Self::load(app, &event, now).await?;
        Ok((event, outlook))
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
