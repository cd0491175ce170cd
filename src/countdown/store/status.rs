//! The status of a task.

use super::entry::entry;
use super::reading::read;
use crate::countdown::{Task, TaskState};
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::web::words::Reader;
use serde_json::{Value, json};
use time::{Date, OffsetDateTime};

/// The new status of a task.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewState {
    pub state: TaskState,
    /// The day it was started or began waiting.
    pub started_on: Option<Date>,
    /// The day it was finished; only for `done`.
    pub done_on: Option<Date>,
    pub waiting_for: String,
}

impl NewState {
    /// Nothing done yet.
    #[must_use]
    pub fn to_do() -> Self {
        Self { state: TaskState::ToDo, started_on: None, done_on: None, waiting_for: String::new() }
    }

    /// The current status of a task.
    #[must_use]
    pub fn of(task: &Task) -> Self {
        Self {
            state: task.state,
            started_on: task.started_on,
            done_on: task.done_on,
            waiting_for: task.waiting_for.clone(),
        }
    }

    fn snapshot(&self) -> Value {
        json!({
            "status": self.state.as_str(),
            "started": self.started_on.map(|on| Reader::App.day(on)),
            "done": self.done_on.map(|on| Reader::App.day(on)),
            "waiting for": self.waiting_for,
        })
    }
}

/// The result of updating a task's status.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Set {
    Done,
    /// It already had that status. Nothing is written.
    Already,
    /// Someone else updated it in the meantime. This is the task now.
    Stale(Box<Task>),
    Gone,
}

/// Updates a task's status; with a `seen` status, only if it still has that one.
pub async fn set_state(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    id: i64,
    seen: Option<TaskState>,
    new: &NewState,
    now: OffsetDateTime,
) -> Result<Set> {
    let tasks = read(tx, event_id).await?;
    let Some(old) = tasks.into_iter().find(|task| task.id == id && !task.is_burn) else { return Ok(Set::Gone) };
    let stood = NewState::of(&old);
    if stood == *new {
        return Ok(Set::Already);
    }
    if seen.is_some_and(|seen| seen != old.state) {
        return Ok(Set::Stale(Box::new(old)));
    }
    let state = new.state.as_str();
    let at = now.unix_timestamp();
    let by = if let Actor::Account(id) = actor { Some(id) } else { None };
    sqlx::query!(
        "update task set state = ?, started_on = ?, done_on = ?, waiting_for = ?, state_at = ?, state_by = ?
         where id = ?",
        state,
        new.started_on,
        new.done_on,
        new.waiting_for,
        at,
        by,
        id
    )
    .execute(&mut **tx)
    .await?;
    let entry = Entry {
        before: Some(stood.snapshot()),
        after: Some(new.snapshot()),
        ..entry(actor, "updated the status of", event_id, id, &old.details.title)
    };
    record(tx, now, entry);
    Ok(Set::Done)
}

/// Puts tasks back to do again, as a new burn day requires.
pub async fn reset(tx: &mut Tx, actor: Actor, event_id: i64, ids: &[i64], now: OffsetDateTime) -> Result<()> {
    for id in ids {
        set_state(tx, actor, event_id, *id, None, &NewState::to_do(), now).await?;
    }
    Ok(())
}
