//! Adding, editing and removing positions.

use super::form::PostForm;
use super::{Details, MOST_PLACES, Post, store};
use crate::accounts::Visit;
use crate::asks;
use crate::crew::editor::CrewEditor;
use crate::crew::page::event;
use crate::crew::{Qualification, follow, skills};
use crate::db::journal::Actor;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::state::App;
use crate::web::conflict;
use crate::web::flash;
use crate::web::form::{Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;
use time::OffsetDateTime;

pub(in crate::crew) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/crew/template", post(fill))
        .route("/events/{id}/crew/positions/new", get(new).merge(post(create)))
        .route("/events/{id}/crew/positions/{post}/edit", get(edit).merge(post(save)))
        .route("/events/{id}/crew/positions/{post}/remove", get(ask_remove).merge(post(remove)))
}

#[derive(Template)]
#[template(path = "crew/edit.html")]
struct Edit {
    page: Page,
    action: String,
    back: String,
    known: Vec<Qualification>,
    stewards: u16,
    audience: String,
    form: PostForm,
    mistakes: Mistakes,
}

#[derive(Template)]
#[template(path = "crew/remove.html")]
struct Remove {
    page: Page,
    event_id: i64,
    post: Post,
    assigned: usize,
}

async fn view(app: &App, visit: &Visit, event: &Event, post: i64, form: PostForm, mistakes: Mistakes) -> Result<Edit> {
    let known = skills::store::qualifications(&mut *app.db.read().acquire().await?).await?;
    let title = if post == 0 { "Add a position" } else { "Edit position" };
    let page = events::page(app, visit, Some(event), app.clock.now()).await?.titled(title);
    let here = format!("/events/{}/crew", event.id);
    Ok(Edit {
        page,
        action: if post == 0 { format!("{here}/positions/new") } else { format!("{here}/positions/{post}/edit") },
        back: if post == 0 { here } else { format!("{here}/positions/{post}") },
        known,
        stewards: super::template::stewards(event.details.audience),
        audience: event
            .details
            .audience
            .map(|people| words::count(people as usize, "person", "people"))
            .unwrap_or_default(),
        form,
        mistakes,
    })
}

/// A position of an event, and every qualification it could require.
async fn found(app: &App, event_id: i64, id: i64) -> Result<(Event, Post, Vec<Qualification>)> {
    let event = event(app, event_id).await?;
    let mut db = app.db.read().acquire().await?;
    let post = store::of_event(&mut db, event_id).await?.into_iter().find(|post| post.id == id);
    let known = skills::store::qualifications(&mut db).await?;
    Ok((event, post.ok_or(Error::NotFound)?, known))
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct FillForm {
    press: String,
}

async fn fill(
    State(app): State<App>,
    CrewEditor(visit): CrewEditor,
    Path(id): Path<i64>,
    Form(form): Form<FillForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = event(&app, id).await?;
    let (actor, press) = (visit.user.actor(), form.press.trim().parse::<u32>().unwrap_or(0).min(1_000));
    let write =
        app.db.write(move |tx| Box::pin(async move { store::from_template(tx, actor, &event, press, now).await }));
    let said = match write.await? {
        0 => "Nothing was added: this event already has positions.".to_owned(),
        posts => format!(
            "Added {} from common practice. Review each one: the authority having jurisdiction decides what a burn \
             needs.",
            words::count(posts, "position", "positions")
        ),
    };
    Ok(flash::redirect(&format!("/events/{id}/crew"), &said))
}

/// How many people this position may need, given what the others need.
async fn places_left(app: &App, event_id: i64, post: i64) -> Result<u16> {
    let all = store::of_event(&mut *app.db.read().acquire().await?, event_id).await?;
    let others = all.iter().filter(|one| one.id != post).map(|one| one.details.needed);
    Ok(others.fold(MOST_PLACES, u16::saturating_sub))
}

async fn new(State(app): State<App>, CrewEditor(visit): CrewEditor, Path(id): Path<i64>) -> Result<Response> {
    let event = event(&app, id).await?;
    let form = PostForm { needed: "1".to_owned(), ..PostForm::default() };
    show(&view(&app, &visit, &event, 0, form, Mistakes::default()).await?)
}

async fn create(
    State(app): State<App>,
    CrewEditor(visit): CrewEditor,
    Path(id): Path<i64>,
    Form(form): Form<PostForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = event(&app, id).await?;
    let known = skills::store::qualifications(&mut *app.db.read().acquire().await?).await?;
    let details = match form.read(&known, places_left(&app, id, 0).await?) {
        Ok(details) => details,
        Err(mistakes) => {
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &view(&app, &visit, &event, 0, form, mistakes).await?);
        }
    };
    let actor = visit.user.actor();
    let write = app.db.write(move |tx| Box::pin(async move { store::add(tx, actor, id, &details, now).await }));
    let post = write.await?;
    Ok(flash::redirect(&format!("/events/{id}/crew/positions/{post}"), "Position added. Next, assign people to it."))
}

async fn edit(
    State(app): State<App>,
    CrewEditor(visit): CrewEditor,
    Path((id, post)): Path<(i64, i64)>,
) -> Result<Response> {
    let (event, post, _) = found(&app, id, post).await?;
    let form = PostForm::of(&post.details, post.version);
    show(&view(&app, &visit, &event, post.id, form, Mistakes::default()).await?)
}

async fn save(
    State(app): State<App>,
    CrewEditor(visit): CrewEditor,
    Path((id, post)): Path<(i64, i64)>,
    Form(form): Form<PostForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (event, post, known) = found(&app, id, post).await?;
    let new = match form.read(&known, places_left(&app, id, post.id).await?) {
        Ok(new) => new,
        Err(mistakes) => {
            let page = view(&app, &visit, &event, post.id, form, mistakes).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (number, old) = (post.id, Post { version: form.version, ..post });
    if let Some(outdated) = write(&app, visit.user.actor(), (old, known), new, now).await? {
        let said = format!("Saved.{}", asks::tell_next(outdated));
        return Ok(flash::redirect(&format!("/events/{id}/crew/positions/{number}"), &said));
    }
    let (event, post, known) = found(&app, id, number).await?;
    let theirs = PostForm::of(&post.details, post.version);
    let conflict = form.beside(&theirs, format!("/events/{id}/crew/positions/{number}/edit"), &known);
    let page = events::page(&app, &visit, Some(&event), now).await?;
    conflict::show(page, &conflict)
}

/// Saves a position over the one that was seen, and returns how many people have
/// out-of-date details then. None if it has changed since.
async fn write(
    app: &App,
    actor: Actor,
    (old, known): (Post, Vec<Qualification>),
    new: Details,
    now: OffsetDateTime,
) -> Result<Option<usize>> {
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            if !store::save(tx, actor, (&old, &known), &new, now).await? {
                return Ok(None);
            }
            Ok(Some(follow::refresh(tx, old.event_id, now).await?))
        })
    });
    write.await
}

async fn ask_remove(
    State(app): State<App>,
    CrewEditor(visit): CrewEditor,
    Path((id, post)): Path<(i64, i64)>,
) -> Result<Response> {
    let (event, post, _) = found(&app, id, post).await?;
    let page = events::page(&app, &visit, Some(&event), app.clock.now()).await?.titled("Remove position");
    let all = crate::crew::assignments(&mut *app.db.read().acquire().await?, id).await?;
    let assigned = all.iter().filter(|one| one.post_id == post.id).count();
    show(&Remove { page, event_id: id, post, assigned })
}

async fn remove(
    State(app): State<App>,
    CrewEditor(visit): CrewEditor,
    Path((id, post)): Path<(i64, i64)>,
) -> Result<Response> {
    let now = app.clock.now();
    let (_, post, known) = found(&app, id, post).await?;
    let (actor, said) = (visit.user.actor(), format!("“{}” removed.", post.details.name));
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let all = crate::crew::assignments(tx, id).await?;
            let assigned = all.iter().filter(|one| one.post_id == post.id).count();
            store::remove(tx, actor, (&post, &known), assigned, now).await
        })
    });
    write.await?;
    Ok(flash::redirect(&format!("/events/{id}/crew"), &said))
}
