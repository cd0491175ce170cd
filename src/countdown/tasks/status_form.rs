//! The buttons and fields that change a task's status, and what they mean.

use super::page::Typed;
use crate::countdown::store::NewState;
use crate::countdown::{Task, TaskState};
use crate::web::form::{self, Mistakes};
use serde::Deserialize;
use time::Date;

/// The button for work that has started.
pub(super) const BEGUN: &str = "begun";

#[derive(Deserialize, Default)]
#[serde(default)]
pub(super) struct StateForm {
    /// The button that was used: a status, or `begun`.
    pub state: String,
    /// The status the page showed.
    pub seen: String,
    pub on: String,
    pub waiting_for: String,
    pub back: String,
}

impl StateForm {
    /// What was typed, to show again.
    pub fn typed(self) -> Typed {
        let is_waiting = self.state == TaskState::Waiting.as_str();
        let (on, since) = if is_waiting { (String::new(), self.on) } else { (self.on, String::new()) };
        Typed { note: String::new(), on, since, waiting_for: self.waiting_for }
    }

    /// The task's new status.
    pub fn read(&self, old: &Task, today: Date) -> Result<NewState, Mistakes> {
        let mut mistakes = Mistakes::default();
        let is_begun = self.state == BEGUN;
        let state = if is_begun { Ok(TaskState::ToDo) } else { self.state.parse() };
        let state = mistakes.note("state", state);
        let is_waiting = state == Some(TaskState::Waiting);
        let given = mistakes.note(if is_waiting { "since" } else { "on" }, past_day(&self.on, today));
        let waiting_for = if is_waiting { whom(&self.waiting_for) } else { Ok(String::new()) };
        let waiting_for = mistakes.note("waiting_for", waiting_for);
        let (Some(state), Some(given), Some(waiting_for)) = (state, given, waiting_for) else { return Err(mistakes) };
        let on = given.unwrap_or(today);
        Ok(match state {
            TaskState::Done => NewState {
                state,
                started_on: old.started_on.map(|begun| begun.min(on)),
                done_on: Some(on),
                waiting_for,
            },
            TaskState::Waiting => {
                let started_on = given.or(old.started_on).unwrap_or(today);
                NewState { state, started_on: Some(started_on), done_on: None, waiting_for }
            }
            TaskState::ToDo if is_begun => NewState { started_on: Some(on), ..NewState::to_do() },
            TaskState::ToDo | TaskState::NotNeeded => NewState { state, ..NewState::to_do() },
        })
    }
}

/// Who or what a task is waiting for.
fn whom(text: &str) -> Result<String, String> {
    if text.trim().is_empty() {
        return Err("Say who or what this is waiting for, such as “the county's reply”.".to_owned());
    }
    form::line(text, 120)
}

/// A day no later than today, if one was given.
fn past_day(text: &str, today: Date) -> Result<Option<Date>, String> {
    if text.trim().is_empty() {
        return Ok(None);
    }
    let day = form::day(text)?;
    if day > today { Err("Choose today or an earlier day.".to_owned()) } else { Ok(Some(day)) }
}
