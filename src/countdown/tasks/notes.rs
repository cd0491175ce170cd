//! Adding a note to a task.

use super::context::TaskContext;
use super::page::{TaskPage, Typed};
use crate::accounts::Worker;
use crate::countdown::{Places, store};
use crate::error::Result;
use crate::state::App;
use crate::web::flash;
use crate::web::form::{self, Form, Mistakes};
use crate::web::page::show_as;
use crate::web::path::Path;
use crate::web::routes::post;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum::{Extension, Router};
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/tasks/{task}/notes", post(add_note))
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
        let page = TaskPage::load(&app, &visit, &places, &context, place).await?;
        return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page.with(typed, mistakes));
    };
    let (account, now, about) = (visit.user.account_id, context.now, context.outlook.tasks[place].clone());
    app.db.write(move |tx| Box::pin(async move { store::add_note(tx, account, id, &about, &text, now).await })).await?;
    Ok(flash::redirect(&format!("/events/{id}/tasks/{task}"), "The note is saved."))
}
