//! The list of permits and notices, the page of each, and changing them.

use super::form::{FORM, PermitForm, SendingForm};
use super::views::{self, Edit, Index, PermitPage, Print, Remove, Seen};
use crate::accounts::{Officer, Role, SignedIn, User, Visit};
use crate::calc::calendar::Calendar;
use crate::closed_days;
use crate::countdown::{self, Outlook, Task};
use crate::db::journal;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::permit_records::{self, Details, Permit, Refused};
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::form::{Form, Mistakes};
use crate::web::history::HistoryLine;
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::{self, Reader};
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum_extra::extract::Query;
use serde::Deserialize;
use std::sync::Arc;
use time::{Date, OffsetDateTime};

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/permits", get(index))
        .route("/events/{id}/permits/print", get(print))
        .route("/events/{id}/permits/usual", post(add_usual))
        .route("/events/{id}/permits/new", get(new).merge(post(create)))
        .route("/events/{id}/permits/{permit}", get(permit_page))
        .route("/events/{id}/permits/{permit}/edit", get(edit).merge(post(change)))
        .route("/events/{id}/permits/{permit}/remove", get(remove_page).merge(post(remove)))
}

/// What a request about an event's records starts from.
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
        let event = events::find(app.db.read(), event_id).await?.ok_or(Error::NotFound)?;
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

    /// May this user record what was sent? Anyone who may update its task may.
    pub fn may_send(&self, permit: &Permit, user: &User) -> bool {
        user.is_officer() || self.seen().task(permit).is_some_and(|task| task.is_open_to(user))
    }
}

/// The safety officer hears the conditions; the education officer may record it too.
pub(super) fn may_read_back(user: &User) -> bool {
    user.is_officer() || user.role == Role::SafetyOfficer
}

/// How many usual records are missing that the event has a task for.
fn missing(records: &Records) -> usize {
    let usual = permit_records::usual().iter();
    let lacks = usual.filter(|usual| records.permits.iter().all(|known| known.key.as_ref() != Some(&usual.key)));
    lacks.filter(|usual| records.tasks.iter().any(|task| task.key.as_ref() == Some(&usual.task))).count()
}

async fn index(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let records = Records::load(&app, id).await?;
    let outlook = Outlook::load(&app, &records.event, records.now).await?;
    show(&Index {
        page: records.page(&app, &visit, "Permits and notices").await?,
        event_id: id,
        groups: views::groups(&records.seen(), &outlook, &records.permits),
        missing: missing(&records),
    })
}

async fn print(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let records = Records::load(&app, id).await?;
    let page = records.page(&app, &visit, "Permits in hand").await?;
    let seen = records.seen();
    let (granted, open): (Vec<&Permit>, Vec<&Permit>) =
        records.permits.iter().partition(|permit| permit.details.granted_on.is_some());
    show(&Print {
        event_line: page.event.as_ref().map(|banner| format!("{} · {}", banner.name, banner.line)).unwrap_or_default(),
        page,
        event_id: id,
        printed: Reader::App.moment(records.event.details.zone.wall(records.now)),
        sheets: granted.into_iter().map(|permit| views::sheet(&seen, &visit.user, permit)).collect(),
        open: open.into_iter().map(|permit| permit.details.title.clone()).collect(),
    })
}

async fn add_usual(State(app): State<App>, Officer(visit): Officer, Path(id): Path<i64>) -> Result<Response> {
    let records = Records::load(&app, id).await?;
    let (actor, now) = (visit.user.actor(), records.now);
    let add = app.db.write(move |tx| {
        Box::pin(async move {
            let tasks = countdown::tasks_in(tx, id).await?;
            let task_of = |key: &str| tasks.iter().find(|task| task.key.as_deref() == Some(key)).map(|task| task.id);
            permit_records::add_usual(tx, actor, id, task_of, now).await
        })
    });
    let said = match add.await? {
        0 => "All the usual permits and notices are already on the list.".to_owned(),
        added => format!(
            "{} added. Ask each authority how much notice it requires.",
            words::count(added, "permit or notice", "permits and notices")
        ),
    };
    Ok(flash::redirect(&format!("/events/{id}/permits"), &said))
}

async fn permit_page(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path((id, permit)): Path<(i64, i64)>,
) -> Result<Response> {
    let records = Records::load(&app, id).await?;
    let form = SendingForm::fresh(&records.event, records.today);
    show(&page_of(&app, &visit, &records, permit, (form, Mistakes::default())).await?)
}

/// The page of one record, with what was typed about a sending.
pub(super) async fn page_of(
    app: &App,
    visit: &Visit,
    records: &Records,
    id: i64,
    (form, mistakes): (SendingForm, Mistakes),
) -> Result<PermitPage> {
    let permit = records.find(id)?;
    let seen = records.seen();
    let details = &records.event.details;
    let history = journal::of(app.db.read(), "permit", id).await?;
    let history = if visit.user.sees_people() { history } else { Vec::new() };
    Ok(PermitPage {
        page: records.page(app, visit, &permit.details.title).await?,
        facts: views::facts(&seen, &visit.user, permit),
        task: seen.task(permit).map(|task| (task.id, task.details.title.clone())),
        problems: views::problem_lines(&seen, permit, &seen.problems(permit)),
        holds: views::holds(&seen, permit),
        sent: views::sent_lines(&seen, permit),
        form,
        mistakes,
        burn_day: seen.days(&[details.burn_on]),
        burn_on: words::iso(details.burn_on),
        rain_day: details.rain_on.map(|on| seen.days(&[on])).unwrap_or_default(),
        rain_on: details.rain_on.map(words::iso).unwrap_or_default(),
        today: words::iso(records.today),
        read_back: permit
            .read_back
            .as_ref()
            .map(|(on, by)| format!("{}, recorded by {by}", Reader::App.near_day(*on, records.today)))
            .unwrap_or_default(),
        may_send: records.may_send(permit, &visit.user),
        may_read_back: may_read_back(&visit.user),
        history: history.into_iter().map(|entry| HistoryLine::of(entry, &details.zone)).collect(),
        permit: permit.clone(),
    })
}

const CHANGE: &str = "Edit a permit or notice";

#[derive(Deserialize, Default)]
#[serde(default)]
struct NewQuery {
    task: String,
}

async fn new(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Query(query): Query<NewQuery>,
) -> Result<Response> {
    let records = Records::load(&app, id).await?;
    show(&edit_page(&app, &visit, (&records, None), (PermitForm::fresh(&query.task), Mistakes::default())).await?)
}

async fn edit(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, permit)): Path<(i64, i64)>,
) -> Result<Response> {
    let records = Records::load(&app, id).await?;
    let permit = records.find(permit)?;
    let form = PermitForm::of(permit);
    show(&edit_page(&app, &visit, (&records, Some(permit)), (form, Mistakes::default())).await?)
}

/// A notice goes out with a task before the burn.
fn is_before_burn(task: &Task) -> bool {
    !task.is_burn && task.details.lead.days >= 0
}

async fn edit_page(
    app: &App,
    visit: &Visit,
    (records, permit): (&Records, Option<&Permit>),
    (form, mistakes): (PermitForm, Mistakes),
) -> Result<Edit> {
    let heading = if permit.is_some() { CHANGE } else { "Add a permit or notice" };
    let page = records.page(app, visit, heading).await?;
    let tasks = records.tasks.iter().filter(|task| is_before_burn(task));
    Ok(Edit {
        page: if let Some(permit) = permit { page.under(permit.href(), &permit.details.title) } else { page },
        heading,
        form,
        mistakes,
        tasks: tasks.map(|task| (task.id.to_string(), task.details.title.clone())).collect(),
    })
}

/// What was typed, if it can be saved; its task must be one of the event's.
fn ready(records: &Records, form: &PermitForm) -> Result<Details, Mistakes> {
    let details = form.read(records.today)?;
    let known = |id: i64| records.tasks.iter().any(|task| task.id == id && is_before_burn(task));
    if details.task_id.is_some_and(|id| !known(id)) {
        let mut mistakes = Mistakes::default();
        mistakes.add("task", "This task was removed or comes after the burn. Choose another.");
        return Err(mistakes);
    }
    Ok(details)
}

async fn create(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Form(form): Form<PermitForm>,
) -> Result<Response> {
    let records = Records::load(&app, id).await?;
    let mistakes = match ready(&records, &form) {
        Ok(details) => {
            let (actor, now, title) = (visit.user.actor(), records.now, details.title.clone());
            let add = app
                .db
                .write(move |tx| Box::pin(async move { permit_records::add(tx, actor, id, &details, now).await }));
            if let Ok(permit) = add.await? {
                let said = format!("“{title}” added.");
                return Ok(flash::redirect(&format!("/events/{id}/permits/{permit}"), &said));
            }
            let mut mistakes = Mistakes::default();
            mistakes.add("title", "The list is full. Remove a permit or notice first.");
            mistakes
        }
        Err(mistakes) => mistakes,
    };
    let page = edit_page(&app, &visit, (&records, None), (form, mistakes)).await?;
    show_as(StatusCode::UNPROCESSABLE_ENTITY, &page)
}

async fn change(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, permit)): Path<(i64, i64)>,
    Form(form): Form<PermitForm>,
) -> Result<Response> {
    let records = Records::load(&app, id).await?;
    let known = records.find(permit)?;
    let details = match ready(&records, &form) {
        Ok(details) => details,
        Err(mistakes) => {
            let page = edit_page(&app, &visit, (&records, Some(known)), (form, mistakes)).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (actor, now, version, title) = (visit.user.actor(), records.now, form.version, details.title.clone());
    let save = app.db.write(move |tx| {
        Box::pin(async move { permit_records::save(tx, actor, (id, permit), &details, version, now).await })
    });
    match save.await? {
        Ok(()) => Ok(flash::redirect(&format!("/events/{id}/permits/{permit}"), &format!("“{title}” saved."))),
        Err(Refused::Stale) => {
            let records = Records::load(&app, id).await?;
            let page = records.page(&app, &visit, CHANGE).await?;
            conflict::show(page, &stale(&records, records.find(permit)?, &form))
        }
        Err(_) => Err(Error::NotFound),
    }
}

fn stale(records: &Records, permit: &Permit, mine: &PermitForm) -> Conflict {
    let theirs = PermitForm::of(permit);
    let mut conflict = Conflict::new(&permit.details.title, format!("{}/edit", permit.href()), permit.version);
    let title = |id: &str| {
        let task = records.tasks.iter().find(|task| task.id.to_string() == id);
        task.map(|task| task.details.title.clone()).unwrap_or_default()
    };
    conflict.silent("task", &mine.task);
    conflict.compare("Task", &title(&theirs.task), &title(&mine.task));
    for field in FORM {
        conflict.field(field.name, field.label, (field.of)(&theirs), (field.of)(mine));
    }
    conflict
}

async fn remove_page(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, permit)): Path<(i64, i64)>,
) -> Result<Response> {
    let records = Records::load(&app, id).await?;
    let permit = records.find(permit)?.clone();
    let holds = views::holds(&records.seen(), &permit);
    show(&Remove { page: records.page(&app, &visit, "Remove a permit or notice").await?, permit, holds })
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct RemoveForm {
    version: i64,
}

async fn remove(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, permit)): Path<(i64, i64)>,
    Form(form): Form<RemoveForm>,
) -> Result<Response> {
    let records = Records::load(&app, id).await?;
    let (title, href) = records.find(permit).map(|known| (known.details.title.clone(), known.href()))?;
    let (actor, now) = (visit.user.actor(), records.now);
    let remove = app.db.write(move |tx| {
        Box::pin(async move { permit_records::remove(tx, actor, (id, permit), form.version, now).await })
    });
    match remove.await? {
        Ok(()) => Ok(flash::redirect(&format!("/events/{id}/permits"), &format!("“{title}” removed."))),
        Err(Refused::Stale) => Ok(flash::redirect(
            &href,
            "Someone changed this in the meantime, so it was not removed. Check it, then remove it if you still want to.",
        )),
        Err(_) => Err(Error::NotFound),
    }
}
