//! Adding and editing a task.

use super::context::TaskContext;
use super::edit_page::{Edit, edit_page};
use super::effects::Effects;
use super::form::TaskForm;
use super::refusing::refuse;
use crate::accounts::Officer;
use crate::countdown::consequences::Consequences;
use crate::countdown::{Details, Strand, changes, store};
use crate::error::Result;
use crate::state::App;
use crate::web::flash;
use crate::web::form::Form;
use crate::web::page::{show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum_extra::extract::Query;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/tasks/new", get(new).merge(post(create)))
        .route("/events/{id}/tasks/{task}/edit", get(edit).merge(post(update)))
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
    show(&edit_page(&app, &context, None, form).await?)
}

async fn edit(State(app): State<App>, Officer(visit): Officer, Path((id, task)): Path<(i64, i64)>) -> Result<Response> {
    let context = TaskContext::at(&app, &visit, id, "Edit task").await?;
    let form = TaskForm::of(&context.outlook.tasks[context.place(task)?]);
    show(&edit_page(&app, &context, Some(task), form).await?)
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

/// The details, if they can be saved and Save was chosen; otherwise the page that shows
/// its mistakes or a preview.
async fn ready_to_save(
    app: &App,
    context: &TaskContext,
    id: Option<i64>,
    form: &TaskForm,
) -> Result<Result<Details, Response>> {
    let details = match form.read(&context.outlook, id) {
        Ok(details) => details,
        Err(mistakes) => {
            let page = Edit { mistakes, ..edit_page(app, context, id, form.clone()).await? };
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
    let effects = Some(Effects::of(&context.outlook, &Consequences::between(&context.outlook, changed)?));
    Ok(Err(show(&Edit { effects, ..edit_page(app, context, id, form.clone()).await? })?))
}
