//! How large the rooms are.

use super::changing::{Version, href, load};
use super::form::{FRAME_FIELDS, FrameForm};
use super::place::Frame;
use super::snapshot::LayoutSnapshot;
use super::store;
use super::usual_places::move_usual;
use crate::accounts::{Visit, Worker};
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::{Error, Result};
use crate::events::Event;
use crate::rooms::page::page;
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::form::{Both, Mistakes, in_pieces};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::get;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/rooms/plan/size", get(size).post(save_size))
}

#[derive(Template)]
#[template(path = "rooms/frame.html")]
struct FramePage {
    page: Page,
    event_id: i64,
    form: FrameForm,
    mistakes: Mistakes,
    version: i64,
}

async fn frame_page(
    app: &App,
    visit: &Visit,
    known: &LayoutSnapshot,
    version: i64,
    (form, mistakes): (FrameForm, Mistakes),
) -> Result<FramePage> {
    let event = &known.rooms.event;
    let page = page(app, visit, event, "Size of the rooms", app.clock.now()).await?;
    Ok(FramePage { page: page.under(href(event.id), "Room layouts"), event_id: event.id, form, mistakes, version })
}

async fn size(State(app): State<App>, Worker(visit): Worker, Path(id): Path<i64>) -> Result<Response> {
    let known = load(&app, id).await?;
    let form = known.frame.as_ref().map(FrameForm::of).unwrap_or_default();
    let version = known.frame.map_or(0, |frame| frame.version);
    show(&frame_page(&app, &visit, &known, version, (form, Mistakes::default())).await?)
}

async fn save_size(
    State(app): State<App>,
    Worker(visit): Worker,
    Path(id): Path<i64>,
    Both(typed, Version { version }): Both<FrameForm, Version>,
) -> Result<Response> {
    let known = load(&app, id).await?;
    let version = version.ok_or_else(in_pieces)?;
    let new = match typed.read(version) {
        Ok(new) => new,
        Err(mistakes) => {
            let page = frame_page(&app, &visit, &known, version, (typed, mistakes)).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (now, actor, old, event) = (app.clock.now(), visit.user.actor(), known.frame, known.rooms.event);
    let write = app.db.write(move |tx| Box::pin(async move { save(tx, actor, &event, (old, new), now).await }));
    if write.await? {
        return Ok(flash::redirect(&href(id), "Saved. Both rooms have this size."));
    }
    show_conflict(&app, &visit, id, &typed).await
}

/// Saves the size, and moves what is built with it. False if someone else changed it.
async fn save(
    tx: &mut Tx,
    actor: Actor,
    event: &Event,
    (old, new): (Option<Frame>, Frame),
    now: OffsetDateTime,
) -> Result<bool> {
    let is_saved = store::set_frame(tx, actor, event.id, &new, now).await?;
    if let Some(old) = old.filter(|_| is_saved) {
        move_usual(tx, actor, event, (&old, &new), now).await?;
    }
    Ok(is_saved)
}

async fn show_conflict(app: &App, visit: &Visit, id: i64, mine: &FrameForm) -> Result<Response> {
    let known = load(app, id).await?;
    let frame = known.frame.ok_or(Error::NotFound)?;
    let mut conflict = Conflict::new("Size of the rooms", format!("{}/size", href(id)), frame.version);
    let theirs = FrameForm::of(&frame);
    for (name, label, of) in FRAME_FIELDS {
        conflict.field(name, label, of(&theirs), of(mine));
    }
    conflict::show(page(app, visit, &known.rooms.event, "Size of the rooms", app.clock.now()).await?, &conflict)
}
