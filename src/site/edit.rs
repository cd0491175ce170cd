//! Things on the drawing, and what the checks rest on: added, changed, moved, removed.

use super::basis::{self, Basis, WATCHES};
use super::form::{self, ItemForm};
use super::plan::{Drawn, MOST_ITEMS, rounded};
use super::routes::{href, must_draw, page, refused};
use super::store::{self, Current, Refused};
use crate::accounts::{SignedIn, Visit};
use crate::calc::site::{Kind, Shape};
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::fold::Fold;
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
        .route("/events/{id}/rooms/site/items", post(add))
        .route("/events/{id}/rooms/site/items/{item}", get(item).post(save_item))
        .route("/events/{id}/rooms/site/items/{item}/move", post(move_item))
        .route("/events/{id}/rooms/site/items/{item}/remove", post(remove))
        .route("/events/{id}/rooms/site/basis", get(basis).post(save_basis))
}

async fn load(app: &App, id: i64) -> Result<(Event, Current)> {
    let event = events::find(app.db.read(), id).await?.ok_or(Error::NotFound)?;
    let current = store::current(&mut *app.db.read().acquire().await?, id).await?;
    Ok((event, current))
}

#[derive(Debug, Deserialize)]
struct Version {
    version: Option<i64>,
}

#[derive(Debug, Deserialize)]
struct Add {
    #[serde(default)]
    kind: String,
}

async fn add(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Form(Add { kind }): Form<Add>,
) -> Result<Response> {
    must_draw(&visit.user)?;
    let (_, current) = load(&app, id).await?;
    let kind: Kind = kind.parse().map_err(Error::BadRequest)?;
    if current.plan.items.len() >= MOST_ITEMS {
        let said =
            format!("Nothing was added: there are {MOST_ITEMS} things on the drawing already. Remove one first.");
        return Ok(flash::redirect(&href(id), &said));
    }
    let (now, actor) = (app.clock.now(), visit.user.actor());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let mut added = 0;
            let done = store::change(tx, actor, id, now, |plan, version| {
                let place = plan.free_place();
                added = plan.add(Drawn { version, ..Drawn::usual(0, kind, place) });
                Ok(format!("{} added", crate::web::words::capital(kind.as_str())))
            });
            done.await.map(|done| done.map(|_| added))
        })
    });
    match write.await? {
        Ok(added) => {
            let to = format!("{}?picked={added}#item-{added}", href(id));
            Ok(flash::redirect(&to, "Added. Drag it to its place, or open it and type where it is."))
        }
        Err(why) => Ok(refused(id, why)),
    }
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
    (version, form, mistakes): (i64, ItemForm, Mistakes),
) -> Result<ItemPage> {
    let called = drawn.called();
    Ok(ItemPage {
        page: page(app, visit, event, &called, app.clock.now()).await?.under(href(event.id), "The site"),
        event_id: event.id,
        id: drawn.id,
        version,
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
    let (event, current) = load(&app, id).await?;
    let drawn = current.plan.find(item).ok_or(Error::NotFound)?;
    show(&item_page(&app, &visit, &event, drawn, (drawn.version, ItemForm::of(drawn), Mistakes::default())).await?)
}

async fn save_item(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path((id, item)): Path<(i64, u32)>,
    Both(typed, Version { version }): Both<ItemForm, Version>,
) -> Result<Response> {
    must_draw(&visit.user)?;
    let (event, current) = load(&app, id).await?;
    let drawn = current.plan.find(item).ok_or(Error::NotFound)?;
    let version = version.ok_or_else(in_pieces)?;
    let new = match typed.read(drawn) {
        Ok(new) => new,
        Err(mistakes) => {
            let page = item_page(&app, &visit, &event, drawn, (version, typed, mistakes)).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (now, actor) = (app.clock.now(), visit.user.actor());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            store::change(tx, actor, id, now, |plan, number| {
                let old = plan.find_mut(item).ok_or(Refused::Gone)?;
                if old.version != version {
                    return Err(Refused::Changed);
                }
                *old = Drawn { version: number, ..new };
                Ok(format!("{} changed", old.called()))
            })
            .await
        })
    });
    match write.await? {
        Ok(did) => Ok(flash::redirect(&format!("{}?picked={item}#item-{item}", href(id)), &format!("Saved: {did}."))),
        Err(Refused::Changed) => {
            let (event, current) = load(&app, id).await?;
            let theirs = current.plan.find(item).ok_or(Error::NotFound)?;
            let mut conflict = Conflict::new(&theirs.called(), format!("{}/items/{item}", href(id)), theirs.version);
            let shown = ItemForm::of(theirs);
            for (name, label, of) in form::FIELDS {
                conflict.field(name, label, of(&shown), of(&typed));
            }
            conflict::show(page(&app, &visit, &event, "The site", now).await?, &conflict)
        }
        Err(why) => Ok(refused(id, why)),
    }
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
    load(&app, id).await?;
    let at = moved.places().filter(|at| !at.is_empty()).ok_or_else(|| {
        Error::BadRequest("The form doesn't say where to move it. Go back, and type its place instead.".to_owned())
    })?;
    let (now, actor, version) = (app.clock.now(), visit.user.actor(), moved.version);
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            store::change(tx, actor, id, now, |plan, number| {
                let old = plan.find_mut(item).ok_or(Refused::Gone)?;
                if old.version != version {
                    return Err(Refused::Changed);
                }
                let new = Drawn { at, version: number, ..old.clone() };
                if let Some(why) = new.wrong() {
                    return Err(Refused::Wrong(why));
                }
                *old = new;
                Ok(format!("{} moved", old.called()))
            })
            .await
        })
    });
    match write.await? {
        Ok(did) => Ok(flash::redirect(&format!("{}?picked={item}#item-{item}", href(id)), &format!("{did}."))),
        Err(why) => Ok(refused(id, why)),
    }
}

async fn remove(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path((id, item)): Path<(i64, u32)>,
) -> Result<Response> {
    must_draw(&visit.user)?;
    load(&app, id).await?;
    let (now, actor) = (app.clock.now(), visit.user.actor());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            store::change(tx, actor, id, now, |plan, _| {
                let called = plan.find(item).ok_or(Refused::Gone)?.called();
                plan.items.retain(|drawn| drawn.id != item);
                Ok(format!("{called} removed"))
            })
            .await
        })
    });
    match write.await? {
        Ok(did) => Ok(flash::redirect(&href(id), &format!("{did}. Undo brings it back."))),
        Err(why) => Ok(refused(id, why)),
    }
}

#[derive(Template)]
#[template(path = "site/basis.html")]
struct BasisPage {
    page: Page,
    event_id: i64,
    version: i64,
    form: Basis,
    mistakes: Mistakes,
}

impl BasisPage {
    fn fold(&self, names: &[&str]) -> Fold {
        let usual = Basis::default();
        let value = |basis: &Basis, name: &str| {
            let field = basis::FIELDS.into_iter().find(|(known, ..)| *known == name);
            field.map(|(_, _, of)| of(basis).clone()).unwrap_or_default()
        };
        Fold::compared(names, |name| value(&self.form, name), |name| value(&usual, name), &self.mistakes, false)
    }
}

async fn basis_page(
    app: &App,
    visit: &Visit,
    event: &Event,
    version: i64,
    (form, mistakes): (Basis, Mistakes),
) -> Result<BasisPage> {
    let title = "Check settings";
    let page = page(app, visit, event, title, app.clock.now()).await?.under(href(event.id), "The site");
    Ok(BasisPage { page, event_id: event.id, version, form, mistakes })
}

async fn basis(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    must_draw(&visit.user)?;
    let (event, Current { plan, .. }) = load(&app, id).await?;
    // What is wrong by today's limits is said at once.
    let mistakes = plan.basis.read().err().unwrap_or_default();
    show(&basis_page(&app, &visit, &event, plan.basis_version, (plan.basis, mistakes)).await?)
}

async fn save_basis(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Both(typed, Version { version }): Both<Basis, Version>,
) -> Result<Response> {
    must_draw(&visit.user)?;
    let (event, _) = load(&app, id).await?;
    let version = version.ok_or_else(in_pieces)?;
    if let Err(mistakes) = typed.read() {
        let page = basis_page(&app, &visit, &event, version, (typed, mistakes)).await?;
        return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
    }
    let (now, actor, new) = (app.clock.now(), visit.user.actor(), typed.clone());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            store::change(tx, actor, id, now, |plan, number| {
                if plan.basis_version != version {
                    return Err(Refused::Changed);
                }
                (plan.basis, plan.basis_version) = (new, number);
                Ok("Check settings changed".to_owned())
            })
            .await
        })
    });
    match write.await? {
        Ok(_) => Ok(flash::redirect(&href(id), "Saved. The checks use it now.")),
        Err(Refused::Changed) => {
            let (event, Current { plan, .. }) = load(&app, id).await?;
            let mut conflict = Conflict::new("Check settings", format!("{}/basis", href(id)), plan.basis_version);
            for (name, label, of) in basis::FIELDS {
                conflict.field(name, label, of(&plan.basis), of(&typed));
            }
            conflict::show(page(&app, &visit, &event, "The site", now).await?, &conflict)
        }
        Err(why) => Ok(refused(id, why)),
    }
}
