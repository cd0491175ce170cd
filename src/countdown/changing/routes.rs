//! The form of an event.

use super::carrying_out::{Decided, carry_out};
use super::conflict::stale;
use super::preview::{Effects, change_page};
use super::telling::told;
use crate::accounts::Officer;
use crate::countdown::moves::Moves;
use crate::error::{Error, Result};
use crate::events::{self, Details, Event, EventForm, Refused};
use crate::state::App;
use crate::web::conflict;
use crate::web::flash;
use crate::web::form::{Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::{self, Reader};
use crate::zone::Zone;
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum::{Extension, Router};

pub(in crate::countdown) fn router() -> Router<App> {
    Router::new().route("/events/{id}/edit", get(edit).merge(post(update)))
}

#[derive(Template)]
#[template(path = "events/edit.html")]
struct Edit {
    page: Page,
    id: i64,
    burn_day: String,
    form: EventForm,
    mistakes: Mistakes,
    zones: Vec<String>,
}

async fn edit(State(app): State<App>, Officer(visit): Officer, Path(id): Path<i64>) -> Result<Response> {
    let event = events::found(app.db.read(), id).await?;
    let page = events::page(&app, &visit, Some(&event), app.clock.now()).await?.titled("Edit event");
    show(&edit_page(page, &event, EventForm::of(&event), Mistakes::default()))
}

fn edit_page(page: Page, event: &Event, form: EventForm, mistakes: Mistakes) -> Edit {
    Edit { page, id: event.id, burn_day: Reader::App.day(event.details.burn_on), form, mistakes, zones: Zone::names() }
}

async fn update(
    State(app): State<App>,
    Extension(moves): Extension<Moves>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Form(mut form): Form<EventForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = events::found(app.db.read(), id).await?;
    // Burn day changes only on its own page, which shows what that does.
    form.burn_on = words::iso(event.details.burn_on);
    let page = events::page(&app, &visit, Some(&event), now).await?.titled("Edit event");
    if form.act == "back" {
        return show(&edit_page(page, &event, form, Mistakes::default()));
    }
    let details = match form.read() {
        Ok(details) => details,
        Err(mistakes) => return show_as(StatusCode::UNPROCESSABLE_ENTITY, &edit_page(page, &event, form, mistakes)),
    };
    if form.version != event.version {
        return conflict::show(page, &stale(&event, &form));
    }
    let effects = Effects::load(&app, &moves, &event, &details, now).await?;
    if form.act != "save" && (effects.concern_any() || details.burn_time != event.details.burn_time) {
        return show(&change_page(page, &event, &details, form, effects));
    }
    match carry_out(&app, &moves, &visit, &event, decided(details, &form), now).await? {
        Ok(count) => Ok(flash::redirect(&event.href(), format!("The event is saved. {}", told(count)).trim_end())),
        Err(Refused::Gone) => Err(Error::NotFound),
        Err(Refused::Stale) => conflict::show(page, &stale(&events::found(app.db.read(), id).await?, &form)),
    }
}

/// What the form says about a change to these details.
fn decided(details: Details, form: &EventForm) -> Decided {
    Decided { details, again: form.again == "yes", moves_times: form.along == "yes", redo: Vec::new() }
}
