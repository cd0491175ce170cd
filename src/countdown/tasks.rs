//! One task: viewing it, editing it, updating its status.

use super::changes::{self, Consequences};
use super::form::TaskForm;
use super::items::Places;
use super::needed::{Needed, reach};
use super::store::{self, NewState, Refused, Set};
use super::task_page::{Neighbour, NoteLine, PermitLine, TaskPage, Typed};
use super::views::{Edit, Effects, Line, Remove};
use super::{Details, Outlook, Rain, Strand, Task, TaskState, explain, lead_says, template};
use crate::accounts::{Officer, SignedIn, Visit, Worker};
use crate::calc::calendar::Basis;
use crate::db::journal;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::people;
use crate::permit_records;
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::form::{self, Form, Mistakes};
use crate::web::history::HistoryLine;
use crate::web::page::{Page, local_path, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::{self, Reader};
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum::{Extension, Router};
use axum_extra::extract::Query;
use serde::Deserialize;
use time::{Date, OffsetDateTime};

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/tasks/new", get(new).merge(post(create)))
        .route("/events/{id}/tasks/{task}", get(task_page))
        .route("/events/{id}/tasks/{task}/edit", get(edit).merge(post(update)))
        .route("/events/{id}/tasks/{task}/remove", get(remove_page).merge(post(remove)))
        .route("/events/{id}/tasks/{task}/state", post(set_state))
        .route("/events/{id}/tasks/{task}/notes", post(add_note))
}

/// What every request about a task needs.
struct TaskContext {
    event: Event,
    outlook: Outlook,
    page: Page,
    now: OffsetDateTime,
}

impl TaskContext {
    async fn at(app: &App, visit: &Visit, event_id: i64, title: &str) -> Result<Self> {
        let now = app.clock.now();
        let event = events::find(app.db.read(), event_id).await?.ok_or(Error::NotFound)?;
        let outlook = Outlook::load(app, &event, now).await?;
        let page = events::page(app, visit, Some(&event), now).await?.titled(title);
        Ok(Self { event, outlook, page, now })
    }

    fn place(&self, task: i64) -> Result<usize> {
        self.outlook.place(task).ok_or(Error::NotFound)
    }
}

async fn task_page(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Extension(places): Extension<Places>,
    Path((id, task)): Path<(i64, i64)>,
) -> Result<Response> {
    let context = TaskContext::at(&app, &visit, id, "Task").await?;
    show(&page_of(&app, &visit, &places, (context, task), Typed::default(), Mistakes::default()).await?)
}

async fn page_of(
    app: &App,
    visit: &Visit,
    places: &Places,
    (context, task): (TaskContext, i64),
    typed: Typed,
    mistakes: Mistakes,
) -> Result<TaskPage> {
    let TaskContext { event, outlook, page, now } = &context;
    let place = context.place(task)?;
    let (task, row) = outlook.row(place);
    let day = |date: Date| Reader::App.near_day(date, outlook.today);
    let moment = |at| Reader::App.moment(event.details.zone.wall(at));
    let held = outlook.plan.holds_up(place);
    let notes = store::notes(app.db.read(), task.id).await?;
    let history = journal::of(app.db.read(), "task", task.id).await?;
    let items = places.items(app, event, *now).await?;
    Ok(TaskPage {
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
        holds_up: holds_up(outlook, &held),
        permits: permits(app, event, outlook, task).await?,
        needed: Needed::of(task, &items, outlook.today),
        reach: reach(app, task, &visit.user).await?,
        notes: notes.into_iter().map(|n| NoteLine { who: n.who, when: moment(n.at), text: n.text }).collect(),
        history: history.into_iter().map(|entry| HistoryLine::of(entry, &event.details.zone)).collect(),
        typed: if mistakes.is_empty() { Typed::of(task) } else { typed },
        mistakes,
        usual: usual(task),
        task: task.clone(),
    })
}

/// The permits and notices that belong to a task.
async fn permits(app: &App, event: &Event, outlook: &Outlook, task: &Task) -> Result<Vec<PermitLine>> {
    let all = permit_records::of_event(&mut *app.db.read().acquire().await?, event.id).await?;
    let of_task = all.iter().filter(|permit| permit.details.task_id == Some(task.id));
    let line = |permit: &permit_records::Permit| PermitLine {
        href: permit.href(),
        title: permit.details.title.clone(),
        rule: permit_records::rule_says(&permit.details.rule),
        stands: permit.stands(&event.details, &outlook.calendar, outlook.today),
    };
    Ok(of_task.map(line).collect())
}

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

fn neighbour(outlook: &Outlook, place: usize, lag: u16, basis: Basis) -> Neighbour {
    let (task, row) = outlook.row(place);
    Neighbour {
        id: task.id,
        title: task.details.title.clone(),
        state: task.state.as_str(),
        lag: if lag == 0 { String::new() } else { format!("{} of waiting", words::days(u32::from(lag), basis)) },
        when: if task.is_burn {
            Reader::App.near_day(row.due, outlook.today)
        } else {
            explain::due(outlook, task, row)
        },
    }
}

fn earlier(outlook: &Outlook, task: &Task) -> Vec<Neighbour> {
    let links = task.details.links.iter();
    links.filter_map(|link| Some(neighbour(outlook, outlook.place(link.earlier)?, link.lag, link.basis))).collect()
}

fn later(outlook: &Outlook, task: &Task) -> Vec<Neighbour> {
    let waits = |later: &Task| later.details.links.iter().find(|link| link.earlier == task.id).cloned();
    let places = 0..outlook.tasks.len();
    places.filter_map(|place| waits(&outlook.tasks[place]).map(|l| neighbour(outlook, place, l.lag, l.basis))).collect()
}

fn holds_up(outlook: &Outlook, held: &[usize]) -> String {
    let before = held.iter().filter(|&&place| !outlook.plan.follows_burn(place) && place != outlook.plan.burn());
    let burn = if held.contains(&outlook.plan.burn()) { " and the burn itself" } else { "" };
    match before.count() {
        0 if burn.is_empty() => String::new(),
        0 => "the burn itself".to_owned(),
        n => format!("{}{burn}", words::count(n, "task before burn day", "tasks before burn day")),
    }
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct NewQuery {
    strand: String,
}

async fn new(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Query(query): Query<NewQuery>,
) -> Result<Response> {
    let context = TaskContext::at(&app, &visit, id, "Add a task").await?;
    let form = TaskForm::fresh(query.strand.parse().unwrap_or(Strand::Approval));
    show(&edit_page(&app, &context, None, form, Mistakes::default(), None).await?)
}

async fn edit(State(app): State<App>, Officer(visit): Officer, Path((id, task)): Path<(i64, i64)>) -> Result<Response> {
    let context = TaskContext::at(&app, &visit, id, "Edit task").await?;
    let form = TaskForm::of(&context.outlook.tasks[context.place(task)?]);
    show(&edit_page(&app, &context, Some(task), form, Mistakes::default(), None).await?)
}

async fn edit_page(
    app: &App,
    context: &TaskContext,
    id: Option<i64>,
    form: TaskForm,
    mistakes: Mistakes,
    effects: Option<Effects>,
) -> Result<Edit> {
    let outlook = &context.outlook;
    let choices = Strand::ALL.into_iter().map(|strand| {
        let here = outlook.tasks.iter().filter(|task| task.details.strand == strand && Some(task.id) != id);
        (strand.as_str(), here.map(|task| (task.id.to_string(), task.details.title.clone())).collect())
    });
    let task = id.and_then(|id| outlook.place(id)).map(|place| &outlook.tasks[place]);
    let page = context.page.clone();
    Ok(Edit {
        page: match task {
            Some(task) => page.under(format!("{}/tasks/{}", context.event.href(), task.id), &task.details.title),
            None => page,
        },
        id,
        is_burn: task.is_some_and(|task| task.is_burn),
        form,
        mistakes,
        effects,
        people: people::list(app.db.read()).await?,
        choices: choices.collect(),
    })
}

async fn create(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Form(form): Form<TaskForm>,
) -> Result<Response> {
    let context = TaskContext::at(&app, &visit, id, "Add a task").await?;
    let details = match ready_to_save(&app, &context, None, &form).await? {
        Ok(details) => details,
        Err(answer) => return Ok(answer),
    };
    let (actor, now) = (visit.user.actor(), context.now);
    let title = details.title.clone();
    let added = app.db.write(move |tx| Box::pin(async move { store::add(tx, actor, id, &details, now).await })).await?;
    match added {
        Ok(task) => {
            Ok(flash::redirect(&format!("/events/{id}/tasks/{task}"), &format!("“{title}” is added to the plan.")))
        }
        Err(refused) => refuse(&app, &context, None, form, refused).await,
    }
}

async fn update(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, task)): Path<(i64, i64)>,
    Form(form): Form<TaskForm>,
) -> Result<Response> {
    let context = TaskContext::at(&app, &visit, id, "Edit task").await?;
    context.place(task)?;
    let details = match ready_to_save(&app, &context, Some(task), &form).await? {
        Ok(details) => details,
        Err(answer) => return Ok(answer),
    };
    let (actor, now, version) = (visit.user.actor(), context.now, form.version);
    let title = details.title.clone();
    let save =
        app.db.write(move |tx| Box::pin(async move { store::save(tx, actor, id, task, &details, version, now).await }));
    match save.await? {
        Ok(()) => Ok(flash::redirect(&format!("/events/{id}/tasks/{task}"), &format!("“{title}” is saved."))),
        Err(refused) => refuse(&app, &context, Some(task), form, refused).await,
    }
}

/// The details, if it can be saved and Save was chosen; otherwise the page that shows
/// its mistakes or a preview.
async fn ready_to_save(
    app: &App,
    context: &TaskContext,
    id: Option<i64>,
    form: &TaskForm,
) -> Result<std::result::Result<Details, Response>> {
    let details = match form.read(&context.outlook, id) {
        Ok(details) => details,
        Err(mistakes) => {
            let page = edit_page(app, context, id, form.clone(), mistakes, None).await?;
            return Ok(Err(show_as(StatusCode::UNPROCESSABLE_ENTITY, &page)?));
        }
    };
    if form.act != "see" {
        return Ok(Ok(details));
    }
    if let Err(refused) = changes::check(&context.outlook.tasks, id, &details) {
        return Ok(Err(refuse(app, context, id, form.clone(), refused).await?));
    }
    let changed = changes::with(&context.outlook.tasks, id, &details);
    let effects = effects(&context.outlook, &Consequences::between(&context.outlook, changed)?);
    let page = edit_page(app, context, id, form.clone(), Mistakes::default(), Some(effects)).await?;
    Ok(Err(show(&page)?))
}

async fn refuse(
    app: &App,
    context: &TaskContext,
    id: Option<i64>,
    form: TaskForm,
    refused: Refused,
) -> Result<Response> {
    let mut mistakes = Mistakes::default();
    match refused {
        Refused::Stale => {
            // The current version was saved after this request looked.
            let outlook = Outlook::load(app, &context.event, context.now).await?;
            let place = id.and_then(|id| outlook.place(id)).ok_or(Error::NotFound)?;
            return conflict::show(
                context.page.clone(),
                &stale(&outlook, &outlook.tasks[place], context.event.id, &form),
            );
        }
        Refused::Gone if id.is_some_and(|id| context.outlook.place(id).is_none()) => return Err(Error::NotFound),
        Refused::Full => {
            mistakes.add("title", format!("A plan can have at most {} tasks. Remove one first.", store::MOST_TASKS));
        }
        Refused::Gone => mistakes.add("links", "One of these tasks has been removed. Choose again."),
        Refused::Loop(titles) => {
            let ring: Vec<String> = titles.iter().map(|title| format!("“{title}”")).collect();
            mistakes.add(
                "links",
                format!(
                    "These tasks would wait for each other in a circle: {} → {}. Remove one of the links.",
                    ring.join(" → "),
                    ring[0]
                ),
            );
        }
    }
    let page = edit_page(app, context, id, form, mistakes, None).await?;
    show_as(StatusCode::UNPROCESSABLE_ENTITY, &page)
}

fn stale(outlook: &Outlook, task: &Task, event_id: i64, mine: &TaskForm) -> Conflict {
    let theirs = TaskForm::of(task);
    let action = format!("/events/{event_id}/tasks/{}/edit", task.id);
    let mut conflict = Conflict::new(&task.details.title, action, task.version);
    conflict.compare("Strand", strand(&theirs), strand(mine));
    conflict.silent("strand", &mine.strand);
    conflict.field("title", "Title", &theirs.title, &mine.title);
    conflict.field("takes", "What to do", &theirs.takes, &mine.takes);
    conflict.field("owner", "Responsible", &theirs.owner, &mine.owner);
    conflict.field("person", "Person", &theirs.person, &mine.person);
    conflict.compare("Due", &lead(&theirs), &lead(mine));
    for (name, value) in [("lead", &mine.lead), ("side", &mine.side), ("lead_basis", &mine.lead_basis)] {
        conflict.silent(name, value);
    }
    conflict.compare(
        "Effort",
        &format!("{} {} days", theirs.duration, theirs.basis),
        &format!("{} {} days", mine.duration, mine.basis),
    );
    conflict.silent("duration", &mine.duration);
    conflict.silent("basis", &mine.basis);
    conflict.compare("Rain date", rain(&theirs), rain(mine));
    conflict.silent("rain", &mine.rain);
    conflict.compare("Waits for", &links(outlook, &theirs), &links(outlook, mine));
    for line in mine.links().into_iter().filter(|line| !line.earlier.is_empty()) {
        conflict.silent("earlier", &line.earlier);
        conflict.silent("lag", &line.lag);
        conflict.silent("lag_basis", &line.lag_basis);
    }
    conflict.silent("act", "save");
    conflict
}

/// What people read for the form's strand.
fn strand(form: &TaskForm) -> &str {
    match form.strand.parse::<Strand>() {
        Ok(strand) => strand.label(),
        Err(_) => &form.strand,
    }
}

/// What people read for the form's choice about the rain date.
fn rain(form: &TaskForm) -> &str {
    match form.rain.parse::<Rain>() {
        Ok(rain) => rain.says(),
        Err(_) => &form.rain,
    }
}

fn lead(form: &TaskForm) -> String {
    format!("{} {} days {}", form.lead, form.lead_basis, form.side)
}

fn links(outlook: &Outlook, form: &TaskForm) -> String {
    let title = |id: &str| {
        let place = id.parse().ok().and_then(|id| outlook.place(id));
        place.map_or_else(|| "a task that was removed".to_owned(), |place| outlook.tasks[place].details.title.clone())
    };
    let lines = form.links().into_iter().filter(|line| !line.earlier.is_empty());
    let mut lines: Vec<String> =
        lines.map(|line| format!("{}, then {} {} days", title(&line.earlier), line.lag, line.lag_basis)).collect();
    lines.sort();
    lines.join("\n")
}

fn effects(outlook: &Outlook, found: &Consequences) -> Effects {
    let day =
        |date: Option<Date>| date.map_or_else(|| "–".to_owned(), |date| Reader::App.near_day(date, outlook.today));
    let days = |days: i32| match days {
        ..0 => format!("{} short", words::days(days.unsigned_abs(), Basis::Calendar)),
        _ => format!("{} of slack", words::days(days.unsigned_abs(), Basis::Calendar)),
    };
    let spare = if found.spare_before == found.spare_after {
        format!("Burn day is not affected: {}.", days(found.spare_after))
    } else {
        format!(
            "The plan goes from {} to {}. The earliest possible burn day becomes {}.",
            days(found.spare_before),
            days(found.spare_after),
            Reader::App.near_day(found.earliest_after, outlook.today)
        )
    };
    Effects {
        spare,
        spare_after: found.spare_after,
        spare_before: found.spare_before,
        is_short: found.spare_after < 0,
        moved: found.moved.iter().map(|s| (s.title.clone(), day(s.before), day(s.after))).collect(),
        newly_late: found.newly_late.clone(),
    }
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct StateForm {
    /// The button that was used: a status, or `begun`.
    state: String,
    /// The status the page showed.
    seen: String,
    on: String,
    waiting_for: String,
    back: String,
}

impl Typed {
    /// What the forms show before anyone types.
    fn of(task: &Task) -> Self {
        Self { waiting_for: task.waiting_for.clone(), ..Self::default() }
    }

    fn state(form: StateForm) -> Self {
        let is_waiting = form.state == TaskState::Waiting.as_str();
        let (on, since) = if is_waiting { (String::new(), form.on) } else { (form.on, String::new()) };
        Self { note: String::new(), on, since, waiting_for: form.waiting_for }
    }
}

impl StateForm {
    /// The task's new status.
    fn read(&self, old: &Task, today: Date) -> std::result::Result<NewState, Mistakes> {
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
fn whom(text: &str) -> std::result::Result<String, String> {
    if text.trim().is_empty() {
        return Err("Say who or what this is waiting for, such as “the county's reply”.".to_owned());
    }
    form::line(text, 120)
}

/// The button for work that has started.
const BEGUN: &str = "begun";

async fn set_state(
    State(app): State<App>,
    Worker(visit): Worker,
    Extension(places): Extension<Places>,
    Path((id, task)): Path<(i64, i64)>,
    Form(form): Form<StateForm>,
) -> Result<Response> {
    let context = TaskContext::at(&app, &visit, id, "Task").await?;
    let old = context.outlook.tasks[context.place(task)?].clone();
    if !old.is_open_to(&visit.user) {
        return Err(Error::Forbidden("This task belongs to someone else. Tell them or the education officer."));
    }
    if old.is_burn {
        return Err(Error::BadRequest(
            "Burn day can't be marked done. It counts as done once the day has passed.".to_owned(),
        ));
    }
    let new = match form.read(&old, context.outlook.today) {
        Ok(new) => new,
        Err(mistakes) => {
            let page = page_of(&app, &visit, &places, (context, task), Typed::state(form), mistakes).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (actor, now, seen) = (visit.user.actor(), context.now, form.seen.parse().ok());
    let set =
        app.db.write(move |tx| Box::pin(async move { store::set_state(tx, actor, id, task, seen, &new, now).await }));
    let back = match form.back.as_str() {
        "" => format!("/events/{id}/tasks/{task}"),
        back => local_path(back).to_owned(),
    };
    let title = &old.details.title;
    match set.await? {
        Set::Gone => Err(Error::NotFound),
        Set::Already => Ok(flash::redirect(&back, &format!("“{title}” was already set that way. Nothing changed."))),
        Set::Stale(stands) => {
            let by = stands.state_by.as_deref().unwrap_or("Someone else");
            Ok(flash::redirect(
                &back,
                &format!(
                    "{by} just marked “{title}” as {}. Your change was not saved. Check it and try again.",
                    stands.state
                ),
            ))
        }
        Set::Done => Ok(flash::redirect_with_undo(&back, &set_says(title, &form), &undo(&form, id, &old))),
    }
}

/// What the next page says about a task's new status.
fn set_says(title: &str, form: &StateForm) -> String {
    if form.state == BEGUN {
        return format!("“{title}” is started.");
    }
    match form.state.parse::<TaskState>() {
        Ok(TaskState::ToDo) => format!("“{title}” is on the to-do list again."),
        Ok(TaskState::Waiting) => format!("“{title}” is waiting for {}.", form.waiting_for.trim()),
        Ok(TaskState::NotNeeded) => format!("“{title}” is marked as not needed."),
        Ok(TaskState::Done) | Err(_) => format!("“{title}” is done."),
    }
}

/// The button that takes it back.
fn undo(form: &StateForm, event_id: i64, old: &Task) -> flash::Undo {
    let was_begun = old.state == TaskState::ToDo && old.started_on.is_some();
    let on = old.done_on.or(old.started_on).map(words::iso).unwrap_or_default();
    flash::Undo {
        action: format!("/events/{event_id}/tasks/{}/state", old.id),
        fields: vec![
            ("state".to_owned(), if was_begun { BEGUN.to_owned() } else { old.state.to_string() }),
            ("seen".to_owned(), if form.state == BEGUN { TaskState::ToDo.to_string() } else { form.state.clone() }),
            ("on".to_owned(), on),
            ("waiting_for".to_owned(), old.waiting_for.clone()),
            ("back".to_owned(), form.back.clone()),
        ],
    }
}

/// A day no later than today, if one was given.
fn past_day(text: &str, today: Date) -> std::result::Result<Option<Date>, String> {
    if text.trim().is_empty() {
        return Ok(None);
    }
    let day = form::day(text)?;
    if day > today { Err("Choose today or an earlier day.".to_owned()) } else { Ok(Some(day)) }
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct NoteForm {
    text: String,
}

async fn add_note(
    State(app): State<App>,
    Worker(visit): Worker,
    Extension(places): Extension<Places>,
    Path((id, task)): Path<(i64, i64)>,
    Form(form): Form<NoteForm>,
) -> Result<Response> {
    let context = TaskContext::at(&app, &visit, id, "Task").await?;
    let place = context.place(task)?;
    let mut mistakes = Mistakes::default();
    let text = form::paragraph(&form.text, 4_000);
    let text = text.and_then(|text| if text.is_empty() { Err("Write a note first.".to_owned()) } else { Ok(text) });
    let Some(text) = mistakes.note("text", text) else {
        let typed = Typed { note: form.text, ..Typed::of(&context.outlook.tasks[place]) };
        let page = page_of(&app, &visit, &places, (context, task), typed, mistakes).await?;
        return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
    };
    let (account, now, about) = (visit.user.account_id, context.now, context.outlook.tasks[place].clone());
    app.db.write(move |tx| Box::pin(async move { store::add_note(tx, account, id, &about, &text, now).await })).await?;
    Ok(flash::redirect(&format!("/events/{id}/tasks/{task}"), "The note is saved."))
}

async fn remove_page(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, task)): Path<(i64, i64)>,
) -> Result<Response> {
    let context = TaskContext::at(&app, &visit, id, "Remove task").await?;
    let (old, _) = context.outlook.row(context.place(task)?);
    if old.is_burn {
        return Err(Error::BadRequest("Burn day itself can't be removed. Change the date instead.".to_owned()));
    }
    let left = changes::without(&context.outlook.tasks, task);
    let found = Consequences::between(&context.outlook, left)?;
    show(&Remove {
        page: context.page.clone(),
        event_id: id,
        id: task,
        title: old.details.title.clone(),
        version: old.version,
        permits: permits(&app, &context.event, &context.outlook, old)
            .await?
            .into_iter()
            .map(|line| line.title)
            .collect(),
        later: later(&context.outlook, old).into_iter().map(|later| later.title).collect(),
        effects: effects(&context.outlook, &found),
    })
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct RemoveForm {
    version: i64,
}

async fn remove(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, task)): Path<(i64, i64)>,
    Form(form): Form<RemoveForm>,
) -> Result<Response> {
    let context = TaskContext::at(&app, &visit, id, "Remove task").await?;
    let title = context.outlook.tasks[context.place(task)?].details.title.clone();
    let (actor, now) = (visit.user.actor(), context.now);
    let removed = app
        .db
        .write(move |tx| Box::pin(async move { store::remove(tx, actor, id, task, form.version, now).await }))
        .await?;
    match removed {
        Ok(()) => Ok(flash::redirect(&format!("/events/{id}/tasks"), &format!("“{title}” is removed."))),
        Err(Refused::Stale) => Ok(flash::redirect(
            &format!("/events/{id}/tasks/{task}"),
            "Someone changed this task in the meantime, so it was not removed. Check it before you remove it.",
        )),
        Err(Refused::Gone | Refused::Loop(_) | Refused::Full) => Err(Error::NotFound),
    }
}
