//! The page of one task.

use super::Task;
use super::needed::{Needed, Reach};
use super::views::Line;
use crate::web::form::Mistakes;
use crate::web::history::HistoryLine;
use crate::web::page::Page;
use askama::Template;

/// A task just before or after another in the plan.
#[derive(Debug)]
pub(super) struct Neighbour {
    pub id: i64,
    pub title: String,
    pub state: &'static str,
    pub lag: String,
    pub when: String,
}

#[derive(Debug)]
pub(super) struct NoteLine {
    pub who: String,
    pub when: String,
    pub text: String,
}

/// A permit or notice that belongs to a task.
#[derive(Debug)]
pub(super) struct PermitLine {
    pub href: String,
    pub title: String,
    pub rule: String,
    pub stands: String,
}

#[derive(Template)]
#[template(path = "countdown/task.html")]
pub(super) struct TaskPage {
    pub page: Page,
    pub event_id: i64,
    pub line: Line,
    pub task: Task,
    pub due: String,
    /// For scripts and tests: the same in ISO form, what sets it, and the closed day it
    /// was moved back from, or nothing.
    pub due_on: String,
    pub due_mark: &'static str,
    pub closed: String,
    pub due_reason: String,
    pub latest_start: String,
    pub foreseen: String,
    pub slack: String,
    pub lead: String,
    pub takes_days: String,
    pub rain: &'static str,
    pub since: String,
    pub today: String,
    pub earlier: Vec<Neighbour>,
    pub later: Vec<Neighbour>,
    pub holds_up: String,
    pub permits: Vec<PermitLine>,
    /// What other places have for it.
    pub needed: Needed,
    /// How to reach whoever is responsible.
    pub reach: Vec<Reach>,
    pub notes: Vec<NoteLine>,
    pub history: Vec<HistoryLine>,
    pub typed: Typed,
    pub mistakes: Mistakes,
    pub usual: String,
}

/// What the forms on a task's page show.
#[derive(Debug, Default)]
pub(super) struct Typed {
    pub note: String,
    /// The day for "done" and "started".
    pub on: String,
    /// The day for "waiting".
    pub since: String,
    pub waiting_for: String,
}
