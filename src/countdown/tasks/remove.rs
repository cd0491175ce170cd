//! Removing a task, after a page that says what that does.

use super::context::TaskContext;
use super::effects::Effects;
use super::neighbors::later;
use super::page::permits;
use crate::accounts::Officer;
use crate::countdown::changes::{self, Refused};
use crate::countdown::consequences::Consequences;
use crate::countdown::store;
use crate::error::{Error, Result};
use crate::state::App;
use crate::web::flash;
use crate::web::form::Form;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/tasks/{task}/remove", get(remove_page).merge(post(remove)))
}

#[derive(Template)]
#[template(path = "countdown/remove.html")]
struct Remove {
    page: Page,
    event_id: i64,
    id: i64,
    title: String,
    version: i64,
    /// Permits and notices that would no longer belong to a task.
    permits: Vec<String>,
    later: Vec<String>,
    effects: Effects,
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
        permits: permits(&app, &context, old).await?.into_iter().map(|line| line.title).collect(),
        later: later(&context.outlook, old).into_iter().map(|later| later.title).collect(),
        effects: Effects::of(&context.outlook, &found),
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
