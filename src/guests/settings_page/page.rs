//! The page of offices and levels.

use super::conflict::conflict;
use super::form::{ListForm, TOWN};
use crate::accounts::{Officer, SignedIn, Visit};
use crate::calc::homes::Home;
use crate::error::Result;
use crate::events;
use crate::guests::{signing, store};
use crate::state::App;
use crate::web::flash;
use crate::web::form::{Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::routes::{get, post};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

pub(in crate::guests) fn router() -> Router<App> {
    Router::new().route(PATH, get(index).merge(post(save)))
}

const PATH: &str = "/settings/guests";

#[derive(Template)]
#[template(path = "guests/list.html")]
struct ListPage {
    page: Page,
    form: ListForm,
    home: Home,
    names: Vec<String>,
    mistakes: Mistakes,
}

async fn index(State(app): State<App>, SignedIn(visit): SignedIn) -> Result<Response> {
    let settings = store::settings(&mut *app.db.read().acquire().await?).await?;
    show(&view(&app, &visit, ListForm::of(&settings), Mistakes::default()).await?)
}

async fn view(app: &App, visit: &Visit, form: ListForm, mistakes: Mistakes) -> Result<ListPage> {
    let page = events::page(app, visit, None, app.clock.now()).await?.titled("Offices and levels");
    let settings = store::settings(&mut *app.db.read().acquire().await?).await?;
    let names = signing::names(app, &settings).await?;
    Ok(ListPage { page, form, home: settings.home, names, mistakes })
}

async fn save(State(app): State<App>, Officer(visit): Officer, Form(form): Form<ListForm>) -> Result<Response> {
    let now = app.clock.now();
    let old = store::settings(&mut *app.db.read().acquire().await?).await?;
    let signer = signing::read(&app, &form.signer).await?;
    let new = match form.read(&old, signer) {
        Ok(new) => new,
        Err(mistakes) => {
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &view(&app, &visit, form, mistakes).await?);
        }
    };
    let (actor, keep) = (visit.user.actor(), new.clone());
    let saved = app.db.write(move |tx| Box::pin(async move { store::save_settings(tx, actor, &keep, now).await }));
    if !saved.await? {
        let old = store::settings(&mut *app.db.read().acquire().await?).await?;
        let page = events::page(&app, &visit, None, now).await?;
        return crate::web::conflict::show(page, &conflict(PATH, &old, &form, &new));
    }
    Ok(flash::redirect(PATH, "Saved. Every guest list now uses this order."))
}
