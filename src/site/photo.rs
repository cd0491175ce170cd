//! The photo from above: sent, scaled by two points and a length, removed.

use super::plan::Photo;
use super::routes::{href, must_draw, page, refused};
use super::store::{self, Refused};
use super::typed;
use crate::accounts::{SignedIn, Visit};
use crate::calc::site::FOOT;
use crate::error::{Error, Result};
use crate::events::{self, Event};
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

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/rooms/site/photo", get(photo))
        .route("/events/{id}/rooms/site/scale", post(scale))
        .route("/events/{id}/rooms/site/photo/remove", post(remove))
}

pub(super) fn files_router() -> Router<App> {
    Router::new().route("/events/{id}/rooms/site/photo", post(take))
}

/// Two points on the photo, in percent from its left and its top, and how far apart they are.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
struct ScaleForm {
    x1: String,
    y1: String,
    x2: String,
    y2: String,
    length: String,
    /// The photo that was shown.
    photo: i64,
}

impl ScaleForm {
    /// Meters in a pixel.
    fn read(&self, photo: &Photo) -> std::result::Result<f64, Mistakes> {
        let mut wrong = Mistakes::default();
        let mut part = |field, text: &str, pixels: u32| {
            let percent = wrong.note(field, typed::number(text, 0.0, 100.0)).unwrap_or_default();
            percent / 100.0 * f64::from(pixels)
        };
        let (x1, y1) = (part("x1", &self.x1, photo.width), part("y1", &self.y1, photo.height));
        let (x2, y2) = (part("x2", &self.x2, photo.width), part("y2", &self.y2, photo.height));
        let length = wrong.note("length", typed::length(&self.length, 5.0, 2_600.0)).unwrap_or_default();
        let pixels = (x1 - x2).hypot(y1 - y2);
        let apart = f64::from(photo.width.max(photo.height)) * 0.02;
        if wrong.is_empty() && pixels < apart {
            wrong.add("x2", "The two points are too close together. Choose two that are far apart.");
        }
        let meters = length / pixels;
        let across = f64::from(photo.width.max(photo.height)) * meters;
        if wrong.is_empty() && !(10.0..=super::plan::FARTHEST).contains(&across) {
            let most = super::plan::FARTHEST / FOOT;
            wrong.add(
                "length",
                format!("The photo would be {:.0} ft across. It can be 33 ft to {most:.0} ft.", across / FOOT),
            );
        }
        if wrong.is_empty() { Ok(meters) } else { Err(wrong) }
    }
}

#[derive(Template)]
#[template(path = "site/photo.html")]
struct PhotoPage {
    page: Page,
    event_id: i64,
    photo: Option<Photo>,
    form: ScaleForm,
    mistakes: Mistakes,
    refused: String,
}

async fn photo_page(
    app: &App,
    visit: &Visit,
    event: &Event,
    (form, mistakes, refused): (ScaleForm, Mistakes, &str),
) -> Result<PhotoPage> {
    let current = store::current(&mut *app.db.read().acquire().await?, event.id).await?;
    Ok(PhotoPage {
        page: page(app, visit, event, "Aerial photo", app.clock.now()).await?.under(href(event.id), "The site"),
        event_id: event.id,
        photo: current.plan.photo,
        form,
        mistakes,
        refused: refused.to_owned(),
    })
}

async fn find(app: &App, visit: &Visit, id: i64) -> Result<Event> {
    must_draw(&visit.user)?;
    events::find(app.db.read(), id).await?.ok_or(Error::NotFound)
}

async fn photo(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let event = find(&app, &visit, id).await?;
    show(&photo_page(&app, &visit, &event, (ScaleForm::default(), Mistakes::default(), "")).await?)
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

async fn under(
    tx: &mut crate::db::Tx,
    actor: crate::db::journal::Actor,
    id: i64,
    taken: &Taken,
    now: time::OffsetDateTime,
) -> Result<()> {
    let photo = store::add_photo(tx, actor, id, taken, now).await?;
    let done = store::change(tx, actor, id, now, |plan, _| {
        plan.photo = Some(photo);
        Ok("Photo added".to_owned())
    });
    done.await.map(|_| ())
}

async fn wrong_file(app: &App, visit: &Visit, event: &Event, why: &str) -> Result<Response> {
    let page = photo_page(app, visit, event, (ScaleForm::default(), Mistakes::default(), why)).await?;
    show_as(StatusCode::UNPROCESSABLE_ENTITY, &page)
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
    let meters = match form.read(&photo) {
        Ok(meters) => meters,
        Err(mistakes) => {
            let page = photo_page(&app, &visit, &event, (form, mistakes, "")).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (now, actor) = (app.clock.now(), visit.user.actor());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            store::change(tx, actor, id, now, |plan, _| {
                let photo = plan.photo.as_mut().filter(|known| known.id == photo.id).ok_or(Refused::Changed)?;
                photo.meters_per_pixel = Some(meters);
                Ok("Photo scaled".to_owned())
            })
            .await
        })
    });
    match write.await? {
        Ok(_) => Ok(flash::redirect(&href(id), "Saved. The drawing is on the photo, to scale.")),
        Err(why) => Ok(refused(id, why)),
    }
}

async fn remove(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    find(&app, &visit, id).await?;
    let (now, actor) = (app.clock.now(), visit.user.actor());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            store::change(tx, actor, id, now, |plan, _| {
                plan.photo.take().ok_or(Refused::Gone)?;
                Ok("Photo removed".to_owned())
            })
            .await
        })
    });
    match write.await? {
        Ok(_) => Ok(flash::redirect(&href(id), "Photo removed. Undo brings it back.")),
        Err(why) => Ok(refused(id, why)),
    }
}
