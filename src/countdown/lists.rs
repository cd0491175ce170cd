//! Lists by person: who has how much to do, one person's list, and all of them to print.

use super::filter::{Filter, everyone};
use super::places::DueLine;
use super::responsible::Who;
use super::{Outlook, Places, Task, TaskState};
use crate::accounts::{SignedIn, User};
use crate::calc::plan::{PlanStatus, Row};
use crate::error::Result;
use crate::events;
use crate::state::App;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::query::query_escape;
use crate::web::routes::get;
use crate::web::words::Reader;
use askama::Template;
use axum::extract::State;
use axum::response::Response;
use axum::{Extension, Router};
use axum_extra::extract::Query;
use time::Date;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/lists", get(lists))
}

/// In the address, for all lists at once.
const ALL: &str = "all";

#[derive(Template)]
#[template(path = "countdown/lists.html")]
struct Lists {
    page: Page,
    event_id: i64,
    event_line: String,
    printed: String,
    /// Everyone who has a list, whoever looks first; only where nobody was chosen.
    index: Vec<IndexLine>,
    lists: Vec<List>,
}

/// Someone's list, on one line.
struct IndexLine {
    /// A person's number, or a role.
    list: String,
    name: String,
    note: &'static str,
    href: String,
    is_own: bool,
    open: usize,
    late: usize,
}

/// What someone has to do.
struct List {
    who: Who,
    lines: Vec<ListLine>,
}

impl List {
    /// First what other places report, then the tasks, each by due date.
    fn of(outlook: &Outlook, due: &[DueLine], who: Who, user: &User) -> Self {
        let list = who.value.as_str();
        let due = due.iter().filter(|line| line.responsible.is_on(list));
        let mut lines: Vec<ListLine> = due.map(|line| ListLine::elsewhere(line, user, list, outlook.today)).collect();
        let mut tasks: Vec<(&Task, &Row)> =
            outlook.rows().filter(|(task, _)| task.is_open() && task.responsible.is_on(list)).collect();
        tasks.sort_by_key(|(task, row)| (row.due, task.id));
        lines.extend(tasks.into_iter().map(|(task, row)| ListLine::of(outlook, list, task, row)));
        Self { who, lines }
    }

    fn line(&self, event_id: i64, own: &str) -> IndexLine {
        let list = &self.who.value;
        IndexLine {
            list: list.clone(),
            name: self.who.name.clone(),
            note: self.who.note,
            href: format!("/events/{event_id}/lists?who={}", query_escape(list)),
            is_own: list == own,
            open: self.lines.len(),
            late: self.lines.iter().filter(|line| line.is_late).count(),
        }
    }
}

/// One thing to do, as a list to print has it.
#[derive(Debug)]
struct ListLine {
    title: String,
    takes: String,
    /// Who else has the role, on the list of one of them.
    with: String,
    start: String,
    due: String,
    is_late: bool,
    state: &'static str,
}

impl ListLine {
    fn elsewhere(line: &DueLine, user: &User, list: &str, today: Date) -> Self {
        let DueLine { due, responsible, .. } = line;
        Self {
            title: due.title.clone(),
            takes: due.beneath_for(user),
            with: responsible.with(list),
            start: String::new(),
            due: Reader::App.near_day(due.on, today),
            is_late: due.on < today,
            state: TaskState::ToDo.as_str(),
        }
    }

    fn of(outlook: &Outlook, list: &str, task: &Task, row: &Row) -> Self {
        let day = |date| Reader::App.near_day(date, outlook.today);
        Self {
            title: task.details.title.clone(),
            takes: task.details.takes.clone(),
            with: task.responsible.with(list),
            start: day(row.latest_start),
            due: day(row.due),
            is_late: row.status == PlanStatus::Late,
            state: task.state.as_str(),
        }
    }
}

async fn lists(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Extension(places): Extension<Places>,
    Path(id): Path<i64>,
    Query(filter): Query<Filter>,
) -> Result<Response> {
    let now = app.clock.now();
    let (event, outlook) = Outlook::find(&app, id, now).await?;
    let items = places.items(&app, &event, now).await?;
    let page = events::page(&app, &visit, Some(&event), now).await?.titled("Lists by person");
    let who = filter.by_name(&outlook, &items.due).who;
    let own = visit.user.person_id.to_string();
    let people = everyone(&outlook, &items.due).into_iter();
    let mut lists: Vec<List> = people.map(|who| List::of(&outlook, &items.due, who, &visit.user)).collect();
    lists.retain(|list| !list.lines.is_empty());
    lists.sort_by_key(|list| list.who.value != own);
    let index = if who.is_empty() { lists.iter().map(|list| list.line(id, &own)).collect() } else { Vec::new() };
    lists.retain(|list| match who.as_str() {
        "" => list.who.value == own,
        ALL => true,
        one => list.who.value == one,
    });
    show(&Lists {
        event_id: id,
        event_line: page.event.as_ref().map(|event| format!("{} · {}", event.name, event.line)).unwrap_or_default(),
        page,
        printed: Reader::App.moment(event.details.zone.wall(now)),
        index,
        lists,
    })
}
