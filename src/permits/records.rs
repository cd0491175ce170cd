//! What every request about an event's records starts from.

use crate::accounts::{Role, User, Visit};
use crate::calc::calendar::Calendar;
use crate::closed_days;
use crate::countdown::{self, Task, TaskState};
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::permit_records::{self, Permit, Problem};
use crate::state::App;
use crate::web::page::Page;
use crate::web::words::Reader;
use std::sync::Arc;
use time::{Date, OffsetDateTime};

/// The records of an event, with its tasks.
pub(super) struct Records {
    pub event: Event,
    pub permits: Vec<Permit>,
    pub tasks: Vec<Task>,
    pub calendar: Arc<Calendar>,
    pub today: Date,
    pub now: OffsetDateTime,
}

impl Records {
    pub async fn load(app: &App, event_id: i64) -> Result<Self> {
        let now = app.clock.now();
        let event = events::found(app.db.read(), event_id).await?;
        let calendar = closed_days::calendar(app).await?;
        let mut db = app.db.read().acquire().await?;
        let permits = permit_records::of_event(&mut db, event_id).await?;
        let tasks = countdown::tasks_in(&mut db, event_id).await?;
        Ok(Self { today: event.today(now), event, permits, tasks, calendar, now })
    }

    pub fn find(&self, id: i64) -> Result<&Permit> {
        self.permits.iter().find(|permit| permit.id == id).ok_or(Error::NotFound)
    }

    pub fn seen(&self) -> Seen<'_> {
        Seen { event: &self.event, calendar: &self.calendar, tasks: &self.tasks, today: self.today }
    }

    pub async fn page(&self, app: &App, visit: &Visit, title: &str) -> Result<Page> {
        Ok(events::page(app, visit, Some(&self.event), self.now).await?.titled(title))
    }

    /// Does this burn need it? Its task says so.
    pub fn is_needed(&self, permit: &Permit) -> bool {
        self.seen().task(permit).is_none_or(|task| task.state != TaskState::NotNeeded)
    }

    /// May this user record what was sent? Anyone who may update its task may.
    pub fn may_send(&self, permit: &Permit, user: &User) -> bool {
        user.is_officer() || self.seen().task(permit).is_some_and(|task| task.is_open_to(user))
    }
}

/// The safety officer hears the conditions; the education officer may record it too.
pub(super) fn may_read_back(user: &User) -> bool {
    user.is_officer() || user.role == Role::SafetyOfficer
}

/// What it takes to show records.
pub(super) struct Seen<'a> {
    pub event: &'a Event,
    pub calendar: &'a Calendar,
    pub tasks: &'a [Task],
    pub today: Date,
}

impl Seen<'_> {
    pub fn near(&self, day: Date) -> String {
        Reader::App.near_day(day, self.today)
    }

    pub fn days(&self, days: &[Date]) -> String {
        days.iter().map(|day| self.near(*day)).collect::<Vec<_>>().join(", ")
    }

    pub fn task(&self, permit: &Permit) -> Option<&Task> {
        self.tasks.iter().find(|task| Some(task.id) == permit.details.task_id)
    }

    pub fn problems(&self, permit: &Permit) -> Vec<Problem> {
        permit.problems(&self.event.details, self.calendar, self.today)
    }

    pub fn stands(&self, permit: &Permit) -> String {
        permit.stands(&self.event.details, self.calendar, self.today)
    }
}
