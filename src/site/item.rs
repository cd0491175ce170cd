//! One thing on the drawing: changed, moved, removed.

use super::changing::change;
use super::drawn::Drawn;
use super::form::{self, ItemForm};
use super::page::{event, href, must_draw, page, refused};
use super::refused::Refused;
use super::store;
use super::typed::rounded;
use crate::accounts::{SignedIn, Visit};
use crate::calc::site::Shape;
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
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/rooms/site/items/{item}", get(item).post(save_item))
        .route("/events/{id}/rooms/site/items/{item}/move", post(move_item))
        .route("/events/{id}/rooms/site/items/{item}/remove", post(remove))
}

/// Something on the drawing, with its event.
async fn load(app: &App, id: i64, item: u32) -> Result<(Event, Drawn)> {
    let event = event(app, id).await?;
    let current = store::current(&mut *app.db.read().acquire().await?, id).await?;
    let drawn = current.plan.find(item).cloned().ok_or(Error::NotFound)?;
    Ok((event, drawn))
}

#[derive(Debug, Deserialize)]
struct Version {
    version: Option<i64>,
}

#[derive(Template)]
#[template(path = "site/item.html")]
struct ItemPage {
    page: Page,
    event_id: i64,
    id: u32,
    called: String,
    version: i64,
    form: ItemForm,
    mistakes: Mistakes,
    is_spot: bool,
    is_line: bool,
    has_height: bool,
    has_count: bool,
    has_level: bool,
}

async fn item_page(
    app: &App,
    visit: &Visit,
    event: &Event,
    drawn: &Drawn,
    (form, mistakes): (ItemForm, Mistakes),
) -> Result<ItemPage> {
    let called = drawn.called();
    Ok(ItemPage {
        page: page(app, visit, event, &called, app.clock.now()).await?.under(href(event.id), "The site"),
        event_id: event.id,
        id: drawn.id,
        version: drawn.version,
        called,
        form,
        mistakes,
        is_spot: drawn.kind.shape() == Shape::Spot,
        is_line: drawn.kind.shape() == Shape::Line,
        has_height: form::has_height(drawn.kind),
        has_count: form::has_count(drawn.kind),
        has_level: form::has_level(drawn.kind),
    })
}

async fn item(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path((id, item)): Path<(i64, u32)>,
) -> Result<Response> {
    must_draw(&visit.user)?;
    let (event, drawn) = load(&app, id, item).await?;
    show(&item_page(&app, &visit, &event, &drawn, (ItemForm::of(&drawn), Mistakes::default())).await?)
}

async fn save_item(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path((id, item)): Path<(i64, u32)>,
    Both(typed, Version { version }): Both<ItemForm, Version>,
) -> Result<Response> {
    must_draw(&visit.user)?;
    let (event, drawn) = load(&app, id, item).await?;
    let version = version.ok_or_else(in_pieces)?;
    let new = match typed.read(&drawn) {
        Ok(new) => new,
        Err(mistakes) => {
            let shown = Drawn { version, ..drawn };
            let page = item_page(&app, &visit, &event, &shown, (typed, mistakes)).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let done = change(&app, &visit, id, move |plan, number| {
        let old = plan.unchanged(item, version)?;
        *old = Drawn { version: number, ..new };
        Ok(format!("{} changed", old.called()))
    });
    match done.await? {
        Ok(did) => Ok(flash::redirect(&picked(id, item), &format!("Saved: {did}."))),
        Err(Refused::Changed) => show_conflict(&app, &visit, (id, item), &typed).await,
        Err(why) => Ok(refused(id, why)),
    }
}

/// Its place on the page of the drawing.
fn picked(id: i64, item: u32) -> String {
    format!("{}?picked={item}#item-{item}", href(id))
}

async fn show_conflict(app: &App, visit: &Visit, (id, item): (i64, u32), mine: &ItemForm) -> Result<Response> {
    let (event, drawn) = load(app, id, item).await?;
    let mut conflict = Conflict::new(&drawn.called(), format!("{}/items/{item}", href(id)), drawn.version);
    let theirs = ItemForm::of(&drawn);
    for (name, label, of) in form::FIELDS {
        conflict.field(name, label, of(&theirs), of(mine));
    }
    conflict::show(page(app, visit, &event, "The site", app.clock.now()).await?, &conflict)
}

/// Where something was moved to on the drawing, in meters: "12.5,8 20,8".
#[derive(Debug, Deserialize, Default)]
#[serde(default)]
struct Moved {
    at: String,
    version: i64,
}

impl Moved {
    fn places(&self) -> Option<Vec<(f64, f64)>> {
        let read = |text: &str| text.parse().ok().filter(|value: &f64| value.is_finite()).map(rounded);
        let place = |text: &str| text.split_once(',').and_then(|(x, y)| Some((read(x)?, read(y)?)));
        self.at.split_whitespace().map(place).collect()
    }
}

async fn move_item(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path((id, item)): Path<(i64, u32)>,
    Form(moved): Form<Moved>,
) -> Result<Response> {
    must_draw(&visit.user)?;
    event(&app, id).await?;
    let at = moved.places().filter(|at| !at.is_empty()).ok_or_else(|| {
        Error::BadRequest("The form doesn't say where to move it. Go back, and type its place instead.".to_owned())
    })?;
    let done = change(&app, &visit, id, move |plan, number| {
        let old = plan.unchanged(item, moved.version)?;
        let new = Drawn { at, version: number, ..old.clone() };
        if let Some(why) = new.wrong() {
            return Err(Refused::Wrong(why));
        }
        *old = new;
        Ok(format!("{} moved", old.called()))
    });
    match done.await? {
        Ok(did) => Ok(flash::redirect(&picked(id, item), &format!("{did}."))),
        Err(why) => Ok(refused(id, why)),
    }
}

async fn remove(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path((id, item)): Path<(i64, u32)>,
) -> Result<Response> {
    must_draw(&visit.user)?;
    event(&app, id).await?;
    let done = change(&app, &visit, id, move |plan, _| {
        let called = plan.find(item).ok_or(Refused::Gone)?.called();
        plan.items.retain(|drawn| drawn.id != item);
        Ok(format!("{called} removed"))
    });
    match done.await? {
        Ok(did) => Ok(flash::redirect(&href(id), &format!("{did}. Undo brings it back."))),
        Err(why) => Ok(refused(id, why)),
    }
}
