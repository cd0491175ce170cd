//! The objectives of the lesson: added, changed, removed.

use super::objective_form::{FIELDS, ObjectiveForm};
use super::page::{Version, event, href, page};
use super::{MessagesChanged, OBJECTIVES, Objective, store};
use crate::accounts::{Visit, Worker};
use crate::error::{Error, Result};
use crate::events::Event;
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::form::{Both, Form, Mistakes, in_pieces};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum::{Extension, Router};

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/burn-day/talk/lesson/new", get(new).merge(post(add)))
        .route("/events/{id}/burn-day/talk/lesson/{objective}", get(edit).merge(post(save)))
        .route("/events/{id}/burn-day/talk/lesson/{objective}/remove", post(remove))
}

fn lesson(event_id: i64) -> String {
    format!("{}/lesson", href(event_id))
}

#[derive(Template)]
#[template(path = "talk/objective.html")]
struct ObjectivePage {
    page: Page,
    event_id: i64,
    id: i64,
    version: i64,
    form: ObjectiveForm,
    mistakes: Mistakes,
}

async fn objective_page(
    app: &App,
    visit: &Visit,
    event: &Event,
    (id, version): (i64, i64),
    (form, mistakes): (ObjectiveForm, Mistakes),
) -> Result<ObjectivePage> {
    let title = if id == 0 { "Add an objective" } else { "Change an objective" };
    let page = page(app, visit, event, title).await?.under(lesson(event.id), "Lesson plan");
    Ok(ObjectivePage { page, event_id: event.id, id, version, form, mistakes })
}

async fn refuse(
    app: &App,
    visit: &Visit,
    event: &Event,
    key: (i64, i64),
    typed: (ObjectiveForm, Mistakes),
) -> Result<Response> {
    show_as(StatusCode::UNPROCESSABLE_ENTITY, &objective_page(app, visit, event, key, typed).await?)
}

/// What the press prints is changed by those who keep the press's facts.
fn may_change(visit: &Visit, is_for_press: bool) -> Result<()> {
    if !is_for_press || visit.user.keeps_people() {
        return Ok(());
    }
    Err(Error::Forbidden(
        "Only the education officer or the information officer can change a message that the press may have. Ask one of \
         them, or go back.",
    ))
}

async fn all(app: &App, id: i64) -> Result<Vec<Objective>> {
    store::objectives(&mut *app.db.read().acquire().await?, id).await
}

async fn find(app: &App, id: i64, objective: i64) -> Result<Objective> {
    all(app, id).await?.into_iter().find(|one| one.id == objective).ok_or(Error::NotFound)
}

async fn new(State(app): State<App>, Worker(visit): Worker, Path(id): Path<i64>) -> Result<Response> {
    let event = event(&app, id).await?;
    let form = (ObjectiveForm::default(), Mistakes::default());
    show(&objective_page(&app, &visit, &event, (0, 0), form).await?)
}

async fn add(
    State(app): State<App>,
    Worker(visit): Worker,
    Path(id): Path<i64>,
    Extension(changed): Extension<MessagesChanged>,
    Form(typed): Form<ObjectiveForm>,
) -> Result<Response> {
    let event = event(&app, id).await?;
    let new = match typed.read(0, 0) {
        Ok(new) => new,
        Err(mistakes) => return refuse(&app, &visit, &event, (0, 0), (typed, mistakes)).await,
    };
    may_change(&visit, new.is_for_press)?;
    let (now, actor) = (app.clock.now(), visit.user.actor());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            if store::objectives(tx, id).await?.len() >= *OBJECTIVES.end() {
                return Ok(false);
            }
            store::add_objective(tx, actor, id, &new, now).await?;
            changed(tx, id, now).await?;
            Ok(true)
        })
    });
    if write.await? {
        return Ok(flash::redirect(&lesson(id), "Objective added. Choose it in the lines that teach it."));
    }
    let mut mistakes = Mistakes::default();
    mistakes.add("text", format!("There are {} objectives already. Remove or change one.", OBJECTIVES.end()));
    refuse(&app, &visit, &event, (0, 0), (typed, mistakes)).await
}

async fn edit(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, objective)): Path<(i64, i64)>,
) -> Result<Response> {
    let event = event(&app, id).await?;
    let known = find(&app, id, objective).await?;
    let form = (ObjectiveForm::of(&known), Mistakes::default());
    show(&objective_page(&app, &visit, &event, (known.id, known.version), form).await?)
}

async fn save(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, objective)): Path<(i64, i64)>,
    Extension(changed): Extension<MessagesChanged>,
    Both(typed, Version { version }): Both<ObjectiveForm, Version>,
) -> Result<Response> {
    let event = event(&app, id).await?;
    let version = version.ok_or_else(in_pieces)?;
    let old = find(&app, id, objective).await?;
    let new = match typed.read(objective, version) {
        Ok(new) => new,
        Err(mistakes) => return refuse(&app, &visit, &event, (objective, version), (typed, mistakes)).await,
    };
    may_change(&visit, old.is_for_press || new.is_for_press)?;
    let (now, actor) = (app.clock.now(), visit.user.actor());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let is_saved = store::put_objective(tx, actor, id, &new, now).await?;
            changed(tx, id, now).await?;
            Ok(is_saved)
        })
    });
    if write.await? {
        return Ok(flash::redirect(&lesson(id), "Objective saved."));
    }
    let theirs = find(&app, id, objective).await?;
    conflict::show(page(&app, &visit, &event, "Lesson plan").await?, &stale(id, &theirs, &typed))
}

fn stale(event_id: i64, theirs: &Objective, typed: &ObjectiveForm) -> Conflict {
    let mut conflict = Conflict::new("Objective", format!("{}/{}", lesson(event_id), theirs.id), theirs.version);
    let shown = ObjectiveForm::of(theirs);
    for (name, label, of) in FIELDS {
        conflict.field(name, label, of(&shown), of(typed));
    }
    conflict
}

async fn remove(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, objective)): Path<(i64, i64)>,
    Extension(changed): Extension<MessagesChanged>,
    Form(Version { version }): Form<Version>,
) -> Result<Response> {
    event(&app, id).await?;
    let version = version.ok_or_else(in_pieces)?;
    let is_for_press = all(&app, id).await?.iter().any(|one| one.id == objective && one.is_for_press);
    may_change(&visit, is_for_press)?;
    let (now, actor) = (app.clock.now(), visit.user.actor());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let is_removed = store::remove_objective(tx, actor, id, (objective, version), now).await?;
            changed(tx, id, now).await?;
            Ok(is_removed)
        })
    });
    let said = if write.await? {
        "Objective removed. Its lines are still in the talk."
    } else {
        "Nothing was removed: someone just changed this objective. Look, then try again."
    };
    Ok(flash::redirect(&lesson(id), said))
}
