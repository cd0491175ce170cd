//! Reading the coverage, and adding and changing stories.

use super::form::StoryForm;
use super::page::view;
use super::{NewStory, Story, store};
use crate::accounts::SignedIn;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::press::editor::{PressEditor, event};
use crate::press::facts;
use crate::press::snapshot::PressSnapshot;
use crate::state::App;
use crate::web::conflict;
use crate::web::flash;
use crate::web::form::{Form, Mistakes};
use crate::web::page::{show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

pub(in crate::press) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/press/coverage", get(index).merge(post(create)))
        .route("/events/{id}/press/coverage/{story}", get(story).merge(post(change)))
}

async fn index(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let event = event(&app, id).await?;
    let form = StoryForm { ran_on: words::iso(event.today(app.clock.now())), ..StoryForm::default() };
    show(&view(&app, &visit, &event, (form, Mistakes::default()), None).await?)
}

/// The story that a form describes.
async fn read(app: &App, event: &Event, form: &StoryForm) -> Result<Result<NewStory, Mistakes>> {
    let known = PressSnapshot::load(app, event).await?;
    let messages = facts::of_event(&mut *app.db.read().acquire().await?, event.id).await?.messages.len();
    Ok(form.read(&known.outlet_names(), messages, event.today(app.clock.now())))
}

async fn create(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path(id): Path<i64>,
    Form(form): Form<StoryForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = event(&app, id).await?;
    let new = match read(&app, &event, &form).await? {
        Ok(new) => new,
        Err(mistakes) => {
            let page = view(&app, &visit, &event, (form, mistakes), None).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let actor = visit.user.actor();
    app.db.write(move |tx| Box::pin(async move { store::add(tx, actor, id, &new, now).await })).await?;
    Ok(flash::redirect(&format!("/events/{id}/press/coverage"), "The story is saved."))
}

/// A story of this event.
async fn found(app: &App, event_id: i64, id: i64) -> Result<(Event, Story)> {
    let event = event(app, event_id).await?;
    let stories = store::of_event(app.db.read(), event_id).await?;
    Ok((event, stories.into_iter().find(|story| story.id == id).ok_or(Error::NotFound)?))
}

async fn story(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path((id, story)): Path<(i64, i64)>,
) -> Result<Response> {
    let (event, story) = found(&app, id, story).await?;
    let typed = (StoryForm::of(&story), Mistakes::default());
    show(&view(&app, &visit, &event, typed, Some(story.id)).await?)
}

async fn change(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path((id, number)): Path<(i64, i64)>,
    Form(form): Form<StoryForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (event, story) = found(&app, id, number).await?;
    let new = match read(&app, &event, &form).await? {
        Ok(new) => new,
        Err(mistakes) => {
            let page = view(&app, &visit, &event, (form, mistakes), Some(story.id)).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (actor, version) = (visit.user.actor(), form.version);
    let save = app
        .db
        .write(move |tx| Box::pin(async move { store::change(tx, actor, id, &story, (&new, version), now).await }));
    if save.await? {
        return Ok(flash::redirect(&format!("/events/{id}/press/coverage"), "The story is saved."));
    }
    let (event, theirs) = found(&app, id, number).await?;
    conflict::show(events::page(&app, &visit, Some(&event), now).await?, &form.conflict(&theirs, id))
}
