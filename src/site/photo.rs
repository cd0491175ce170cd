//! The photo from above: sent, scaled by two points and a length, removed.

use super::changing::change;
use super::page::{event, href, must_draw, page, refused};
use super::plan::Photo;
use super::refused::Refused;
use super::scale_form::ScaleForm;
use super::store;
use crate::accounts::{SignedIn, Visit};
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::events::Event;
use crate::photos::{Posted, Taken};
use crate::state::App;
use crate::web::flash;
use crate::web::form::{Form, Mistakes, in_pieces};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/rooms/site/photo", get(photo))
        .route("/events/{id}/rooms/site/scale", post(scale))
        .route("/events/{id}/rooms/site/photo/remove", post(remove))
}

/// The form that takes the photo from above.
pub fn files_router() -> Router<App> {
    Router::new().route("/events/{id}/rooms/site/photo", post(take))
}

#[derive(Template)]
#[template(path = "site/photo.html")]
struct PhotoPage {
    page: Page,
    event_id: i64,
    photo: Option<Photo>,
    form: ScaleForm,
    mistakes: Mistakes,
    /// Why a file was refused; empty if none was.
    refused: String,
}

async fn photo_page(
    app: &App,
    visit: &Visit,
    event: &Event,
    (form, mistakes): (ScaleForm, Mistakes),
) -> Result<PhotoPage> {
    let current = store::current(&mut *app.db.read().acquire().await?, event.id).await?;
    Ok(PhotoPage {
        page: page(app, visit, event, "Aerial photo", app.clock.now()).await?.under(href(event.id), "The site"),
        event_id: event.id,
        photo: current.plan.photo,
        form,
        mistakes,
        refused: String::new(),
    })
}

async fn find(app: &App, visit: &Visit, id: i64) -> Result<Event> {
    must_draw(&visit.user)?;
    event(app, id).await
}

async fn photo(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let event = find(&app, &visit, id).await?;
    show(&photo_page(&app, &visit, &event, (ScaleForm::default(), Mistakes::default())).await?)
}

#[derive(Debug, Clone, Deserialize, Default)]
struct Nothing {}

async fn take(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    posted: std::result::Result<Posted<Nothing>, Response>,
) -> Result<Response> {
    let event = find(&app, &visit, id).await?;
    let Posted(_, pictures) = match posted {
        Ok(posted) => posted,
        Err(answer) => return Ok(answer),
    };
    let taken = match pictures.of("photo") {
        Some(Ok(taken)) => taken.clone(),
        Some(Err(why)) => return wrong_file(&app, &visit, &event, why).await,
        None => return wrong_file(&app, &visit, &event, "Choose a photo first.").await,
    };
    let (now, actor) = (app.clock.now(), visit.user.actor());
    let write = app.db.write(move |tx| Box::pin(async move { under(tx, actor, id, &taken, now).await }));
    write.await?;
    Ok(flash::redirect(&format!("{}/photo#scale", href(id)), "Photo saved. Now say how long something on it is."))
}

async fn under(tx: &mut Tx, actor: Actor, id: i64, taken: &Taken, now: OffsetDateTime) -> Result<()> {
    let photo = store::add_photo(tx, actor, id, taken, now).await?;
    let done = store::change(tx, actor, id, now, |plan, _| {
        plan.photo = Some(photo);
        Ok("Photo added".to_owned())
    });
    done.await.map(|_| ())
}

async fn wrong_file(app: &App, visit: &Visit, event: &Event, why: &str) -> Result<Response> {
    let page = photo_page(app, visit, event, (ScaleForm::default(), Mistakes::default())).await?;
    show_as(StatusCode::UNPROCESSABLE_ENTITY, &PhotoPage { refused: why.to_owned(), ..page })
}

async fn scale(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Form(form): Form<ScaleForm>,
) -> Result<Response> {
    let event = find(&app, &visit, id).await?;
    if form.photo == 0 {
        return Err(in_pieces());
    }
    let current = store::current(&mut *app.db.read().acquire().await?, id).await?;
    let Some(photo) = current.plan.photo.filter(|photo| photo.id == form.photo) else {
        return Ok(refused(id, Refused::Changed));
    };
    match form.read(&photo) {
        Ok(meters) => save_scale(&app, &visit, id, photo.id, meters).await,
        Err(mistakes) => {
            let page = photo_page(&app, &visit, &event, (form, mistakes)).await?;
            show_as(StatusCode::UNPROCESSABLE_ENTITY, &page)
        }
    }
}

async fn save_scale(app: &App, visit: &Visit, id: i64, photo: i64, meters: f64) -> Result<Response> {
    let done = change(app, visit, id, move |plan, _| {
        let photo = plan.photo.as_mut().filter(|known| known.id == photo).ok_or(Refused::Changed)?;
        photo.meters_per_pixel = Some(meters);
        Ok("Photo scaled".to_owned())
    });
    match done.await? {
        Ok(_) => Ok(flash::redirect(&href(id), "Saved. The drawing is on the photo, to scale.")),
        Err(why) => Ok(refused(id, why)),
    }
}

async fn remove(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    find(&app, &visit, id).await?;
    let done = change(&app, &visit, id, |plan, _| {
        plan.photo.take().ok_or(Refused::Gone)?;
        Ok("Photo removed".to_owned())
    });
    match done.await? {
        Ok(_) => Ok(flash::redirect(&href(id), "Photo removed. Undo brings it back.")),
        Err(why) => Ok(refused(id, why)),
    }
}
