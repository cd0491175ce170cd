//! Updating a task's status.

use super::context::TaskContext;
use super::page::TaskPage;
use super::status_form::{BEGUN, StateForm};
use crate::accounts::{User, Worker};
use crate::countdown::store::{self, Set};
use crate::countdown::{Places, Task, TaskState};
use crate::error::{Error, Result};
use crate::state::App;
use crate::web::flash;
use crate::web::form::Form;
use crate::web::local_path::local_path;
use crate::web::page::show_as;
use crate::web::path::Path;
use crate::web::routes::post;
use crate::web::words;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum::{Extension, Router};

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/tasks/{task}/state", post(set_state))
}

async fn set_state(
    State(app): State<App>,
    Worker(visit): Worker,
    Extension(places): Extension<Places>,
    Path((id, task)): Path<(i64, i64)>,
    Form(form): Form<StateForm>,
) -> Result<Response> {
    let context = TaskContext::at(&app, &visit, id, "Task").await?;
    let place = context.place(task)?;
    let old = &context.outlook.tasks[place];
    must_be_open_to(old, &visit.user)?;
    let new = match form.read(old, context.outlook.today) {
        Ok(new) => new,
        Err(mistakes) => {
            let page = TaskPage::load(&app, &visit, &places, &context, place).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page.with(form.typed(), mistakes));
        }
    };
    let (actor, now, seen) = (visit.user.actor(), context.now, form.seen.parse().ok());
    let set =
        app.db.write(move |tx| Box::pin(async move { store::set_state(tx, actor, id, task, seen, &new, now).await }));
    answer(set.await?, id, old, &form)
}

/// Refuses to update a task that is someone else's, and burn day.
fn must_be_open_to(task: &Task, user: &User) -> Result<()> {
    if !task.is_open_to(user) {
        return Err(Error::Forbidden("This task belongs to someone else. Tell them or the education officer."));
    }
    if task.is_burn {
        return Err(Error::BadRequest(
            "Burn day can't be marked done. It counts as done once the day has passed.".to_owned(),
        ));
    }
    Ok(())
}

/// Goes back to where the button was, and says what became of it.
fn answer(set: Set, event_id: i64, old: &Task, form: &StateForm) -> Result<Response> {
    let back = match form.back.as_str() {
        "" => format!("/events/{event_id}/tasks/{}", old.id),
        back => local_path(back).to_owned(),
    };
    let title = &old.details.title;
    match set {
        Set::Gone => Err(Error::NotFound),
        Set::Already => Ok(flash::redirect(&back, &format!("“{title}” was already set that way. Nothing changed."))),
        Set::Stale(stands) => {
            let by = stands.state_by.as_deref().unwrap_or("Someone else");
            let state = stands.state;
            let said =
                format!("{by} just marked “{title}” as {state}. Your change was not saved. Check it and try again.");
            Ok(flash::redirect(&back, &said))
        }
        Set::Done => Ok(flash::redirect_with_undo(&back, &set_says(title, form), &undo(form, event_id, old))),
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
