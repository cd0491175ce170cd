//! The countdown's lines and pages.

use super::explain::{self, ChainNote};
use super::form::{LinkLine, TaskForm};
use super::responsible::Who;
use super::ruler::Ruler;
use super::told::{DueLine, Ready};
use super::{Outlook, Responsible, Task, TaskState};
use crate::accounts::User;
use crate::calc::plan::{Row, Standing};
use crate::people::Name;
use crate::web::form::Mistakes;
use crate::web::history::HistoryLine;
use crate::web::page::Page;
use crate::web::words::{self, Reader};
use askama::Template;
use time::Date;

/// One task on one line.
#[derive(Debug)]
pub(super) struct Line {
    pub title: String,
    /// Its page.
    pub href: String,
    /// The smaller line beneath it.
    pub beneath: String,
    pub who: String,
    pub due: String,
    pub is_late: bool,
    /// The sign before it: `late`, `todo`, `waiting`, `risk`, `done` or `dropped`.
    pub sign: &'static str,
    /// What the sign means, in words.
    pub says: &'static str,
    pub state: &'static str,
    pub is_open: bool,
    pub is_waiting: bool,
    /// May whoever looks at it update its status?
    pub may_act: bool,
}

impl Line {
    pub fn of(event_id: i64, outlook: &Outlook, place: usize, user: &User) -> Self {
        let (task, row) = outlook.row(place);
        let sign = match (task.state, row.standing) {
            (TaskState::Done, _) => "done",
            (TaskState::NotNeeded, _) => "dropped",
            (_, Standing::Late) => "late",
            (TaskState::Waiting, _) => "waiting",
            (_, Standing::AtRisk | Standing::Impossible) if !outlook.is_far_off(place) => "risk",
            _ => "todo",
        };
        Self {
            title: task.draft.title.clone(),
            href: format!("/events/{event_id}/tasks/{}", task.id),
            beneath: beneath(outlook, place, task, row),
            who: task.who().to_owned(),
            due: explain::due(outlook, task, row),
            is_late: row.standing == Standing::Late,
            sign,
            says: if outlook.is_far_off(place) && sign == "todo" { "after burn day" } else { explain::standing(row) },
            state: task.state.as_str(),
            is_open: task.is_open() && !task.is_burn,
            is_waiting: task.state == TaskState::Waiting,
            may_act: task.is_open_to(user) && !task.is_burn,
        }
    }

    /// Something another place reports; it is done there.
    pub fn elsewhere(DueLine { due, responsible }: &DueLine, user: &User, today: Date) -> Self {
        let is_late = due.on < today;
        Self {
            title: due.title.clone(),
            href: due.href.clone(),
            beneath: due.beneath_for(user),
            who: responsible.says().to_owned(),
            due: match usize::try_from((today - due.on).whole_days()) {
                Ok(days @ 1..) => format!("{} late", words::count(days, "day", "days")),
                Ok(0) | Err(_) => Reader::App.near_day(due.on, today),
            },
            is_late,
            sign: if is_late { "late" } else { "todo" },
            says: if is_late { "late" } else { "to do" },
            state: TaskState::ToDo.as_str(),
            is_open: true,
            is_waiting: false,
            may_act: false,
        }
    }
}

fn beneath(outlook: &Outlook, place: usize, task: &Task, row: &Row) -> String {
    let mut parts = Vec::new();
    if !outlook.is_far_off(place) {
        parts.extend(explain::warning(outlook, task, row));
    }
    if let (TaskState::ToDo, Some(on)) = (task.state, task.started_on) {
        parts.push(format!("started {}", Reader::App.near_day(on, outlook.today)));
    }
    if task.state == TaskState::Waiting {
        parts.push(format!("waiting for {}", task.waiting_for));
    }
    let held = outlook.plan.holds_up(place);
    let before =
        held.iter().filter(|&&later| !outlook.plan.follows_burn(later) && later != outlook.plan.burn()).count();
    if task.is_open() && before > 0 {
        parts.push(format!("holds up {}", words::count(before, "later task", "later tasks")));
    }
    if let Some(earlier) = waits_for(outlook, place, task) {
        parts.push(earlier);
    }
    if parts.is_empty() {
        parts.push(task.draft.strand.label().to_owned());
    }
    parts.join(" · ")
}

/// What keeps a task from starting today.
fn waits_for(outlook: &Outlook, place: usize, task: &Task) -> Option<String> {
    if task.state != TaskState::ToDo || task.started_on.is_some() || task.is_burn || outlook.can_start(place) {
        return None;
    }
    let earlier = task.draft.links.iter().filter_map(|link| outlook.place(link.earlier));
    let open: Vec<usize> = earlier.filter(|&earlier| outlook.tasks[earlier].is_open()).collect();
    let start = Reader::App.near_day(outlook.schedule.rows[place].earliest_start, outlook.today);
    Some(match open.as_slice() {
        [] => format!("can start {start}"),
        [one] => format!("waits for “{}”", outlook.tasks[*one].draft.title),
        [one, rest @ ..] => format!("waits for “{}” and {} more", outlook.tasks[*one].draft.title, rest.len()),
    })
}

#[derive(Template)]
#[template(path = "countdown/index.html")]
pub(super) struct Index {
    pub page: Page,
    pub event_id: i64,
    pub ruler: Ruler,
    pub chain: ChainNote,
    pub mine: bool,
    pub late: usize,
    pub week: usize,
    pub now: Vec<Line>,
    /// What can start now, and what waits for other tasks.
    pub next: Vec<Line>,
    pub later: Vec<Line>,
    /// Whose tasks these are, if someone was chosen.
    pub whose: String,
    pub waiting: Vec<Line>,
    pub ready: Vec<Ready>,
    /// Where to return after a button.
    pub back: String,
    pub people: Vec<Who>,
    pub filter: Filter,
}

/// Which tasks to show.
#[derive(Debug, Default, Clone, serde::Deserialize)]
#[serde(default)]
pub(super) struct Filter {
    /// A person's ID, or a role in the burn that no one has.
    pub who: String,
    pub strand: String,
    pub state: String,
}

pub const SHOWN: [&str; 6] = ["open", "late", "waiting", "done", "not needed", "all"];

impl Filter {
    pub fn fits(&self, task: &Task, row: &Row) -> bool {
        let state = match self.state.as_str() {
            "" | "open" => task.is_open(),
            "late" => row.standing == Standing::Late,
            "all" => true,
            other => task.state.as_str() == other,
        };
        state && (self.strand.is_empty() || task.draft.strand.as_str() == self.strand) && self.takes(&task.responsible)
    }

    /// Is this everyone's list, or theirs?
    pub fn takes(&self, responsible: &Responsible) -> bool {
        self.who.is_empty() || responsible.is_on(&self.who)
    }

    /// The same filter, with a person in place of a role that person now has: a link
    /// may be older than the account.
    pub fn by_name(self, outlook: &Outlook, due: &[DueLine]) -> Self {
        let who = all(outlook, due).find_map(|responsible| responsible.list_of_role(&self.who));
        Self { who: who.unwrap_or(self.who), ..self }
    }

    pub fn is_empty(&self) -> bool {
        self.who.is_empty() && self.strand.is_empty() && matches!(self.state.as_str(), "" | "open")
    }
}

/// Everyone who is responsible for something.
fn all<'a>(outlook: &'a Outlook, due: &'a [DueLine]) -> impl Iterator<Item = &'a Responsible> {
    let tasks = outlook.tasks.iter().filter(|task| !task.is_burn).map(|task| &task.responsible);
    tasks.chain(due.iter().map(|line| &line.responsible))
}

/// Everyone who has a list, by name.
pub(super) fn everyone(outlook: &Outlook, due: &[DueLine]) -> Vec<Who> {
    let mut all: Vec<Who> = all(outlook, due).flat_map(Responsible::lists).collect();
    all.sort_by_cached_key(|who| (who.name.to_lowercase(), who.value.clone()));
    all.dedup_by(|a, b| a.value == b.value);
    all
}

#[derive(Template)]
#[template(path = "countdown/tasks.html")]
pub(super) struct Tasks {
    pub page: Page,
    pub event_id: i64,
    pub lines: Vec<Line>,
    pub total: usize,
    pub people: Vec<Who>,
    pub filter: Filter,
    pub back: String,
}

/// A list to print: one person's, or one strand's.
#[derive(Debug)]
pub(super) struct Sheet {
    pub heading: String,
    /// Says that no one has this role; otherwise empty.
    pub note: &'static str,
    pub lines: Vec<SheetLine>,
}

#[derive(Debug)]
pub(super) struct SheetLine {
    pub title: String,
    pub takes: String,
    pub who: String,
    /// Who else has the role, on the list of one of them.
    pub with: String,
    pub start: String,
    pub due: String,
    pub is_late: bool,
    pub state: &'static str,
}

impl SheetLine {
    pub fn elsewhere(DueLine { due, responsible }: &DueLine, user: &User, list: &str, today: Date) -> Self {
        Self {
            title: due.title.clone(),
            takes: due.beneath_for(user),
            who: responsible.says().to_owned(),
            with: responsible.with(list),
            start: String::new(),
            due: Reader::App.near_day(due.on, today),
            is_late: due.on < today,
            state: TaskState::ToDo.as_str(),
        }
    }

    pub fn of(outlook: &Outlook, list: &str, task: &Task, row: &Row) -> Self {
        let day = |date| Reader::App.near_day(date, outlook.today);
        Self {
            title: task.draft.title.clone(),
            takes: task.draft.takes.clone(),
            who: task.who().to_owned(),
            with: task.responsible.with(list),
            start: day(row.latest_start),
            due: match task.done_on {
                Some(on) => format!("done {}", day(on)),
                None => day(row.due),
            },
            is_late: row.standing == Standing::Late,
            state: task.state.as_str(),
        }
    }
}

#[derive(Template)]
#[template(path = "countdown/sheets.html")]
pub(super) struct Sheets {
    pub page: Page,
    pub event_id: i64,
    pub heading: String,
    pub event_line: String,
    pub printed: String,
    /// Each sheet on its own page, with what to do for each task.
    pub personal: bool,
    pub sheets: Vec<Sheet>,
    pub people: Vec<Who>,
    pub who: String,
}

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

/// What saving would do.
#[derive(Debug)]
pub(super) struct Effects {
    pub spare: String,
    /// The days of slack as they would be, and as they are.
    pub spare_after: i32,
    pub spare_before: i32,
    pub is_short: bool,
    pub moved: Vec<(String, String, String)>,
    pub newly_late: Vec<String>,
}

#[derive(Template)]
#[template(path = "countdown/edit.html")]
pub(super) struct Edit {
    pub page: Page,
    pub id: Option<i64>,
    pub is_burn: bool,
    pub form: TaskForm,
    pub mistakes: Mistakes,
    pub effects: Option<Effects>,
    pub people: Vec<Name>,
    /// Tasks by strand, for choosing what to wait for.
    pub choices: Vec<(&'static str, Vec<(String, String)>)>,
}

impl Edit {
    fn links(&self) -> Vec<LinkLine> {
        self.form.links()
    }
}

#[derive(Template)]
#[template(path = "countdown/remove.html")]
pub(super) struct Remove {
    pub page: Page,
    pub event_id: i64,
    pub id: i64,
    pub title: String,
    pub version: i64,
    /// Permits and notices that would no longer belong to a task.
    pub permits: Vec<String>,
    pub later: Vec<String>,
    pub effects: Effects,
}
