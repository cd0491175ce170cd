//! Adding and editing a record.

use super::form::{FORM, PermitForm};
use super::records::Records;
use crate::accounts::{Officer, Visit};
use crate::countdown::Task;
use crate::error::{Error, Result};
use crate::permit_records::{self, Details, Permit, Refused};
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::fold::Fold;
use crate::web::form::{Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum_extra::extract::Query;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/permits/new", get(new).merge(post(create)))
        .route("/events/{id}/permits/{permit}/edit", get(edit).merge(post(change)))
}

#[derive(Template)]
#[template(path = "permits/edit.html")]
struct Edit {
    page: Page,
    heading: &'static str,
    form: PermitForm,
    mistakes: Mistakes,
    /// The tasks it can go out with: number and title.
    tasks: Vec<(String, String)>,
}

impl Edit {
    /// The part with these fields.
    fn fold(&self, names: &[&str]) -> Fold {
        let usual = PermitForm::fresh("");
        Fold::compared(names, |name| self.form.value(name), |name| usual.value(name), &self.mistakes, false)
    }
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
    show(&edit_page(&app, &visit, &records, None, PermitForm::fresh(&query.task)).await?)
}

async fn edit(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, permit)): Path<(i64, i64)>,
) -> Result<Response> {
    let records = Records::load(&app, id).await?;
    let permit = records.find(permit)?;
    show(&edit_page(&app, &visit, &records, Some(permit), PermitForm::of(permit)).await?)
}

/// A notice goes out with a task before the burn.
fn is_before_burn(task: &Task) -> bool {
    !task.is_burn && task.details.lead.days >= 0
}

async fn edit_page(
    app: &App,
    visit: &Visit,
    records: &Records,
    permit: Option<&Permit>,
    form: PermitForm,
) -> Result<Edit> {
    let heading = if permit.is_some() { CHANGE } else { "Add a permit or notice" };
    let page = records.page(app, visit, heading).await?;
    let tasks = records.tasks.iter().filter(|task| is_before_burn(task));
    Ok(Edit {
        page: if let Some(permit) = permit { page.under(permit.href(), &permit.details.title) } else { page },
        heading,
        form,
        mistakes: Mistakes::default(),
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
    let page = Edit { mistakes, ..edit_page(&app, &visit, &records, None, form).await? };
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
            let page = Edit { mistakes, ..edit_page(&app, &visit, &records, Some(known), form).await? };
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (actor, now, version, title) = (visit.user.actor(), records.now, form.version, details.title.clone());
    let (which, href) = (known.full_id(), known.href());
    let save = app
        .db
        .write(move |tx| Box::pin(async move { permit_records::save(tx, actor, which, &details, version, now).await }));
    match save.await? {
        Ok(()) => Ok(flash::redirect(&href, &format!("“{title}” saved."))),
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
