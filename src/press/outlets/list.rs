//! All outlets, and adding one.

use super::contacts::contacts;
use super::form::OutletForm;
use super::listing::listings;
use super::page::beneath;
use super::{OUTLET_KINDS, Outlet, store};
use crate::accounts::{SignedIn, Visit};
use crate::error::Result;
use crate::events::{self, Event};
use crate::press::editor::{PressEditor, event};
use crate::state::App;
use crate::web::flash;
use crate::web::form::{Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/press/outlets", get(index).merge(post(create)))
}

#[derive(Template)]
#[template(path = "press/outlets.html")]
struct Index {
    page: Page,
    event_id: i64,
    keeps: bool,
    lines: Vec<OutletLine>,
    form: OutletForm,
    mistakes: Mistakes,
    kinds: &'static [&'static str],
}

struct OutletLine {
    id: i64,
    name: String,
    beneath: String,
    people: String,
    listed: String,
}

async fn index(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let event = event(&app, id).await?;
    let form = OutletForm { lead_days: "1".to_owned(), ..OutletForm::default() };
    show(&index_view(&app, &visit, &event, form, Mistakes::default()).await?)
}

async fn index_view(app: &App, visit: &Visit, event: &Event, form: OutletForm, mistakes: Mistakes) -> Result<Index> {
    let page = events::page(app, visit, Some(event), app.clock.now()).await?.titled("Outlets");
    let outlets = store::all(app.db.read()).await?;
    let mut db = app.db.read().acquire().await?;
    let (contacts, listings) = (contacts(&mut db).await?, listings(&mut db, event.id).await?);
    let line = |outlet: Outlet| {
        let here: Vec<&str> =
            contacts.iter().filter(|c| c.outlet_id == outlet.id).map(|contact| contact.name.as_str()).collect();
        let listing = listings.iter().find(|listing| listing.outlet_id == outlet.id);
        OutletLine {
            id: outlet.id,
            beneath: beneath(&outlet),
            people: if here.is_empty() { "no contacts yet".to_owned() } else { here.join(", ") },
            listed: listing.map_or(String::new(), |listing| match &listing.owner {
                Some(owner) => format!("on the list, {owner}"),
                None => "on the list, no one responsible".to_owned(),
            }),
            name: outlet.details.name,
        }
    };
    let keeps = visit.user.keeps_people();
    let lines = outlets.into_iter().map(line).collect();
    Ok(Index { page, event_id: event.id, keeps, lines, form, mistakes, kinds: &OUTLET_KINDS })
}

async fn create(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path(id): Path<i64>,
    Form(form): Form<OutletForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = event(&app, id).await?;
    let mistakes = match form.read() {
        Ok(details) => {
            let actor = visit.user.actor();
            let said = format!("{} is added. Now add a contact.", details.name);
            let add = app.db.write(move |tx| Box::pin(async move { store::add(tx, actor, &details, now).await }));
            if let Some(outlet) = add.await? {
                return Ok(flash::redirect(&format!("/events/{id}/press/outlets/{outlet}"), &said));
            }
            let mut mistakes = Mistakes::default();
            mistakes.add("name", "You have an outlet with this name already.");
            mistakes
        }
        Err(mistakes) => mistakes,
    };
    show_as(StatusCode::UNPROCESSABLE_ENTITY, &index_view(&app, &visit, &event, form, mistakes).await?)
}
