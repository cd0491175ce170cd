//! The countdown's lines and pages.

use super::explain::{self, ChainNote};
use super::form::{LinkLine, TaskForm};
use super::items::{DrawnRooms, DueLine, Ready};
use super::late::Worst;
use super::responsible::Who;
use super::ruler::Ruler;
use super::{Outlook, Responsible, Strand, Task, TaskState};
use crate::accounts::{Role, User};
use crate::calc::plan::{PlanStatus, Row};
use crate::people::{Name, sort_key};
use crate::web::fold::Fold;
use crate::web::form::Mistakes;
use crate::web::page::Page;
use crate::web::words::{self, Reader};
use askama::Template;
use std::collections::HashMap;
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
    /// Name and phone of everyone to call about it, for those who may see them.
    pub calls: Vec<(String, String)>,
    /// What the link to where it is done says; nothing for a task.
    pub act: &'static str,
}

impl Line {
    pub fn of(event_id: i64, outlook: &Outlook, place: usize, user: &User) -> Self {
        let (task, row) = outlook.row(place);
        let sign = match (task.state, row.status) {
            (TaskState::Done, _) => "done",
            (TaskState::NotNeeded, _) => "dropped",
            (_, PlanStatus::Late) => "late",
            (TaskState::Waiting, _) => "waiting",
            (_, PlanStatus::AtRisk | PlanStatus::Impossible) if !outlook.is_far_off(place) => "risk",
            _ => "todo",
        };
        Self {
            title: task.details.title.clone(),
            href: format!("/events/{event_id}/tasks/{}", task.id),
            beneath: beneath(outlook, place, task, row),
            who: task.who().to_owned(),
            due: explain::due(outlook, task, row),
            is_late: row.status == PlanStatus::Late,
            sign,
            says: if outlook.is_far_off(place) && sign == "todo" { "after burn day" } else { explain::status(row) },
            state: task.state.as_str(),
            is_open: task.is_open() && !task.is_burn,
            is_waiting: task.state == TaskState::Waiting,
            may_act: task.is_open_to(user) && !task.is_burn,
            calls: Vec::new(),
            act: "",
        }
    }

    /// Something another place reports; it is done there.
    pub fn elsewhere(line: &DueLine, user: &User, today: Date) -> Self {
        let DueLine { due, responsible, .. } = line;
        let is_late = due.on < today;
        let calls = line.calls_for(user);
        Self {
            title: due.title.clone(),
            href: due.href.clone(),
            beneath: due.beneath_for(user),
            who: responsible.says().to_owned(),
            due: match usize::try_from((today - due.on).whole_days()) {
                Ok(days @ 1..) => format!("{} overdue", words::count(days, "day", "days")),
                Ok(0) | Err(_) => Reader::App.near_day(due.on, today),
            },
            is_late,
            sign: if is_late { "late" } else { "todo" },
            says: if is_late { "late" } else { "to do" },
            state: TaskState::ToDo.as_str(),
            is_open: true,
            is_waiting: false,
            may_act: false,
            act: match user.role {
                Role::Reader => "",
                _ if calls.is_empty() => "Open",
                _ => "Log it",
            },
            calls,
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
    let before = explain::held_up(outlook, place);
    if task.is_open() && before > 0 {
        parts.push(format!("holds up {}", words::count(before, "later task", "later tasks")));
    }
    if let Some(earlier) = waits_for(outlook, place, task) {
        parts.push(earlier);
    }
    if parts.is_empty() {
        parts.push(task.details.strand.label().to_owned());
    }
    parts.join(" · ")
}

/// What keeps a task from starting today.
fn waits_for(outlook: &Outlook, place: usize, task: &Task) -> Option<String> {
    if task.state != TaskState::ToDo || task.started_on.is_some() || task.is_burn || outlook.can_start(place) {
        return None;
    }
    let earlier = task.details.links.iter().filter_map(|link| outlook.place(link.earlier));
    let open: Vec<usize> = earlier.filter(|&earlier| outlook.tasks[earlier].is_open()).collect();
    let start = Reader::App.near_day(outlook.schedule.rows[place].earliest_start, outlook.today);
    Some(match open.as_slice() {
        [] => format!("can start {start}"),
        [one] => format!("waits for “{}”", outlook.tasks[*one].details.title),
        [one, rest @ ..] => format!("waits for “{}” and {} more", outlook.tasks[*one].details.title, rest.len()),
    })
}

#[derive(Template)]
#[template(path = "countdown/index.html")]
pub(super) struct Index {
    pub page: Page,
    pub event_id: i64,
    /// The worst of what is late.
    pub worst: Option<Worst>,
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
    /// How ready each part is, and the same for the rain date in words.
    pub ready: Vec<(Ready, String)>,
    pub rooms: Option<DrawnRooms>,
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
            "late" => row.status == PlanStatus::Late,
            "all" => true,
            other => task.state.as_str() == other,
        };
        state
            && (self.strand.is_empty() || task.details.strand.as_str() == self.strand)
            && self.takes(&task.responsible)
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

/// Everyone who has a list, by surname. A place may know someone by another name than the
/// plan does: the number says who it is.
pub(super) fn everyone(outlook: &Outlook, due: &[DueLine]) -> Vec<Who> {
    let mut lists: HashMap<String, Who> = HashMap::new();
    for who in all(outlook, due).flat_map(Responsible::lists) {
        lists.entry(who.value.clone()).or_insert(who);
    }
    let mut everyone: Vec<Who> = lists.into_values().collect();
    // A role that no one has is no name.
    let key = |who: &Who| if who.note.is_empty() { sort_key(&who.name) } else { who.name.to_lowercase() };
    everyone.sort_by_cached_key(|who| (key(who), who.value.clone()));
    everyone
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

    /// The part with these fields.
    fn fold(&self, names: &[&str]) -> Fold {
        let usual = TaskForm::fresh(Strand::Approval);
        // A preview shows what was typed again, too.
        let is_again = self.effects.is_some();
        Fold::compared(names, |name| self.form.value(name), |name| usual.value(name), &self.mistakes, is_again)
    }

    /// The part with the earlier tasks: how many it waits for.
    fn waits(&self) -> Fold {
        let chosen = self.form.earlier.iter().filter(|earlier| !earlier.is_empty());
        let is_again = self.effects.is_some();
        Fold::of(chosen.map(|_| ("links", true)).chain([("links", false)]), &self.mistakes, is_again)
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
