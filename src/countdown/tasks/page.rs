//! The page of one task.

use super::context::TaskContext;
use super::needed::{Needed, Reach, reach};
use super::neighbors::{Neighbor, earlier, holds_up, later};
use crate::accounts::{SignedIn, Visit};
use crate::calc::calendar::Basis;
use crate::countdown::line::Line;
use crate::countdown::{Places, Task, explain, lead_says, store, template};
use crate::db::journal;
use crate::error::Result;
use crate::permit_records;
use crate::state::App;
use crate::web::form::Mistakes;
use crate::web::history::HistoryLine;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::get;
use crate::web::words::{self, Reader};
use askama::Template;
use axum::extract::State;
use axum::response::Response;
use axum::{Extension, Router};
use time::Date;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/tasks/{task}", get(task_page))
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
    pub earlier: Vec<Neighbor>,
    pub later: Vec<Neighbor>,
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

impl Typed {
    /// What the forms show before anyone types.
    pub fn of(task: &Task) -> Self {
        Self { waiting_for: task.waiting_for.clone(), ..Self::default() }
    }
}

async fn task_page(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Extension(places): Extension<Places>,
    Path((id, task)): Path<(i64, i64)>,
) -> Result<Response> {
    let context = TaskContext::at(&app, &visit, id, "Task").await?;
    let place = context.place(task)?;
    show(&TaskPage::load(&app, &visit, &places, &context, place).await?)
}

impl TaskPage {
    /// The page of the task with this index in the outlook, before anyone types.
    pub async fn load(app: &App, visit: &Visit, places: &Places, context: &TaskContext, place: usize) -> Result<Self> {
        let TaskContext { event, outlook, page, now } = &context;
        let (task, row) = outlook.row(place);
        let day = |date: Date| Reader::App.near_day(date, outlook.today);
        let moment = |at| Reader::App.moment(event.details.zone.wall(at));
        let notes = store::notes(app.db.read(), task.id).await?;
        let history = journal::of(app.db.read(), "task", task.id).await?;
        let items = places.items(app, event, *now).await?;
        Ok(Self {
            page: page.clone().titled(&task.details.title),
            event_id: event.id,
            line: Line::of(event.id, outlook, place, &visit.user),
            due: day(row.due),
            due_on: words::iso(row.due),
            due_mark: explain::due_mark(row),
            closed: explain::closed(outlook, task, row).map(words::iso).unwrap_or_default(),
            due_reason: explain::due_reason(outlook, task, row),
            latest_start: day(row.latest_start),
            foreseen: if task.is_open() { day(row.earliest_finish) } else { String::new() },
            slack: slack(row.slack, task.details.basis),
            lead: lead_says(task.details.lead),
            takes_days: words::days(u32::from(task.details.duration), task.details.basis),
            rain: task.details.rain.says(),
            since: task.state_by.as_ref().map(|by| format!("{by}, {}", moment(task.state_at))).unwrap_or_default(),
            today: words::iso(outlook.today),
            earlier: earlier(outlook, task),
            later: later(outlook, task),
            holds_up: holds_up(outlook, place),
            permits: permits(app, context, task).await?,
            needed: Needed::of(task, &items, outlook.today),
            reach: reach(app, task, &visit.user).await?,
            notes: notes.into_iter().map(|n| NoteLine { who: n.who, when: moment(n.at), text: n.text }).collect(),
            history: app.history.lines(history, &event.details.zone),
            typed: Typed::of(task),
            mistakes: Mistakes::default(),
            usual: usual(task),
            task: task.clone(),
        })
    }

    /// The page with what was typed, and what is wrong with it.
    pub fn with(self, typed: Typed, mistakes: Mistakes) -> Self {
        Self { typed, mistakes, ..self }
    }
}

/// The permits and notices that belong to a task.
pub(super) async fn permits(app: &App, context: &TaskContext, task: &Task) -> Result<Vec<PermitLine>> {
    let all = permit_records::of_event(&mut *app.db.read().acquire().await?, context.event.id).await?;
    let of_task = all.iter().filter(|permit| permit.details.task_id == Some(task.id));
    let line = |permit: &permit_records::Permit| PermitLine {
        href: permit.href(),
        title: permit.details.title.clone(),
        rule: permit_records::rule_says(&permit.details.rule),
        stands: permit.stands(&context.event.details, &context.outlook.calendar, context.outlook.today),
    };
    Ok(of_task.map(line).collect())
}

/// "3 days", "2 working days short", "none"; empty where slack means nothing.
fn slack(slack: Option<i32>, basis: Basis) -> String {
    match slack {
        None => String::new(),
        Some(slack @ ..0) => format!("{} short", words::days(slack.unsigned_abs(), basis)),
        Some(0) => "none".to_owned(),
        Some(slack) => words::days(slack.unsigned_abs(), basis),
    }
}

/// What the template says about this task, if the event says otherwise.
fn usual(task: &Task) -> String {
    let entry = task.key.as_deref().and_then(template::place).map(|place| &template::tasks()[place]);
    match entry {
        Some(entry) if entry.lead != task.details.lead.days || task.details.lead.basis == Basis::Working => {
            format!("Common practice: {}.", lead_says(entry.lead()))
        }
        _ => String::new(),
    }
}
