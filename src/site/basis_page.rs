//! The form of what the checks rest on.

use super::basis::{self, Basis, WATCHES};
use super::changing::change;
use super::page::{event, href, must_draw, page, refused};
use super::refused::Refused;
use super::store::{self, Current};
use crate::accounts::{SignedIn, Visit};
use crate::error::Result;
use crate::events::Event;
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::fold::Fold;
use crate::web::form::{Both, Mistakes, in_pieces};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::get;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/rooms/site/basis", get(basis).post(save_basis))
}

async fn load(app: &App, id: i64) -> Result<(Event, Current)> {
    let event = event(app, id).await?;
    let current = store::current(&mut *app.db.read().acquire().await?, id).await?;
    Ok((event, current))
}

#[derive(Debug, Deserialize)]
struct Version {
    version: Option<i64>,
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
    let event = event(&app, id).await?;
    let version = version.ok_or_else(in_pieces)?;
    if let Err(mistakes) = typed.read() {
        let page = basis_page(&app, &visit, &event, version, (typed, mistakes)).await?;
        return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
    }
    let new = typed.clone();
    let done = change(&app, &visit, id, move |plan, number| {
        if plan.basis_version != version {
            return Err(Refused::Changed);
        }
        (plan.basis, plan.basis_version) = (new, number);
        Ok("Check settings changed".to_owned())
    });
    match done.await? {
        Ok(_) => Ok(flash::redirect(&href(id), "Saved. The checks use it now.")),
        Err(Refused::Changed) => show_conflict(&app, &visit, id, &typed).await,
        Err(why) => Ok(refused(id, why)),
    }
}

async fn show_conflict(app: &App, visit: &Visit, id: i64, mine: &Basis) -> Result<Response> {
    let (event, Current { plan, .. }) = load(app, id).await?;
    let mut conflict = Conflict::new("Check settings", format!("{}/basis", href(id)), plan.basis_version);
    for (name, label, of) in basis::FIELDS {
        conflict.field(name, label, of(&plan.basis), of(mine));
    }
    conflict::show(page(app, visit, &event, "The site", app.clock.now()).await?, &conflict)
}
