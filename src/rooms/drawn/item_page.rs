//! The page of a drawn item: where it stands.

use super::changing::{Version, find, href, load, proposed, put};
use super::fixture::Fixture;
use super::form::{HELD, PLACE_FIELDS, PlaceForm};
use super::place::Place;
use super::snapshot::{Drawable, LayoutSnapshot};
use crate::accounts::{Visit, Worker};
use crate::calc::site::INCH;
use crate::error::Result;
use crate::rooms::Room;
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

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/rooms/plan/items/{thing}", get(item).post(save_item))
}

#[derive(Template)]
#[template(path = "rooms/place.html")]
struct ItemPage {
    page: Page,
    event_id: i64,
    id: i64,
    called: String,
    room: Room,
    /// How large it is drawn, and whether that is a guess.
    size: String,
    is_guessed: bool,
    is_placed: bool,
    is_fixture: bool,
    is_panel: bool,
    form: PlaceForm,
    mistakes: Mistakes,
    version: i64,
}

async fn item_page(
    app: &App,
    visit: &Visit,
    known: &LayoutSnapshot,
    one: &Drawable,
    version: i64,
    (form, mistakes): (PlaceForm, Mistakes),
) -> Result<ItemPage> {
    let event = &known.rooms.event;
    let page = page(app, visit, event, &one.called, app.clock.now()).await?.under(href(event.id), "Room layouts");
    let inches = |meters: f64| format!("{}", (meters / INCH * 100.0).round() / 100.0);
    let box_ = &one.box_;
    Ok(ItemPage {
        page,
        event_id: event.id,
        id: one.id,
        called: one.called.clone(),
        room: one.room,
        size: format!(
            "{} × {} × {} in ({:.2} × {:.2} × {:.2} m)",
            inches(box_.width),
            inches(box_.depth),
            inches(box_.height),
            box_.width,
            box_.depth,
            box_.height
        ),
        is_guessed: one.is_guessed,
        is_placed: one.place.is_some(),
        is_fixture: one.fixture.is_some(),
        is_panel: one.fixture.as_ref().is_some_and(|(fixture, _)| *fixture == Fixture::ClearPanel),
        form,
        mistakes,
        version,
    })
}

async fn item(State(app): State<App>, Worker(visit): Worker, Path((id, thing)): Path<(i64, i64)>) -> Result<Response> {
    let known = load(&app, id).await?;
    let (_, one) = find(&known, thing)?;
    let place = proposed(&known, &one);
    let form = if one.fixture.is_some() { form_of(&one) } else { PlaceForm::of(&place) };
    show(&item_page(&app, &visit, &known, &one, place.version, (form, Mistakes::default())).await?)
}

/// What its form shows of something that is drawn.
fn form_of(one: &Drawable) -> PlaceForm {
    match (&one.fixture, &one.place) {
        (Some((_, built)), _) => PlaceForm::of_built(built),
        (None, Some(place)) => PlaceForm::of(place),
        (None, None) => PlaceForm::default(),
    }
}

async fn save_item(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, thing)): Path<(i64, i64)>,
    Both(typed, Version { version }): Both<PlaceForm, Version>,
) -> Result<Response> {
    let known = load(&app, id).await?;
    let (_, one) = find(&known, thing)?;
    let version = version.ok_or_else(in_pieces)?;
    let new = match typed.read(version) {
        Ok(new) => new,
        Err(mistakes) => {
            let page = item_page(&app, &visit, &known, &one, version, (typed, mistakes)).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    if put(&app, &visit, id, &one, (new, Some(&typed))).await? {
        return Ok(flash::redirect(&href(id), &format!("{} is placed.", one.called)));
    }
    show_conflict(&app, &visit, (id, thing), typed).await
}

async fn show_conflict(app: &App, visit: &Visit, (id, thing): (i64, i64), mine: PlaceForm) -> Result<Response> {
    let known = load(app, id).await?;
    let (_, one) = find(&known, thing)?;
    let Some(Place { version, .. }) = one.place else {
        let mut mistakes = Mistakes::default();
        mistakes.add("x", "Someone took it off the drawing. Save again to place it here.");
        let page = item_page(app, visit, &known, &one, 0, (mine, mistakes)).await?;
        return show_as(StatusCode::CONFLICT, &page);
    };
    let mut conflict = Conflict::new(&one.called, format!("{}/items/{thing}", href(id)), version);
    let theirs = form_of(&one);
    for (name, label, of) in PLACE_FIELDS {
        conflict.field(name, label, of(&theirs), of(&mine));
    }
    conflict::show(page(app, visit, &known.rooms.event, &one.called, app.clock.now()).await?, &conflict)
}
