//! Editing and removing items.

use super::edit_page::{gifts_of, view};
use super::form::{BOTH, FORM, ThingForm};
use super::page::{event, found};
use super::{Details, Thing, ThingState, store};
use crate::accounts::Officer;
use crate::error::Result;
use crate::events;
use crate::gifts::Gift;
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::form::{Form, Mistakes};
use crate::web::page::{show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/rooms/items/{thing}/edit", get(edit).merge(post(change)))
        .route("/events/{id}/rooms/items/{thing}/remove", post(remove))
}

async fn edit(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, thing)): Path<(i64, i64)>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = event(&app, id).await?;
    let thing = found(&app, id, thing).await?;
    let form = ThingForm::of(&thing);
    show(&view(&app, &visit, (&event, Some(&thing)), (form, Mistakes::default()), now).await?)
}

async fn change(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, thing)): Path<(i64, i64)>,
    Form(form): Form<ThingForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = event(&app, id).await?;
    let thing = found(&app, id, thing).await?;
    let details = match read(&form, &gifts_of(&app, id).await?) {
        Ok(details) => details,
        Err(mistakes) => {
            let page = view(&app, &visit, (&event, Some(&thing)), (form, mistakes), now).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (actor, version, which) = (visit.user.actor(), form.version, (id, thing.id));
    let write =
        app.db.write(move |tx| Box::pin(async move { store::save(tx, actor, which, &details, version, now).await }));
    if write.await? {
        return Ok(flash::redirect(&thing.href(), "Item saved."));
    }
    let saved = found(&app, id, thing.id).await?;
    conflict::show(events::page(&app, &visit, Some(&event), now).await?, &stale(&saved, &form))
}

/// An item that exists is in one room.
fn read(form: &ThingForm, gifts: &[Gift]) -> Result<Details, Mistakes> {
    if form.room != BOTH {
        return form.read(gifts);
    }
    let mut mistakes = Mistakes::default();
    mistakes
        .add("room", "Choose one room. To have this item in both, save it and then add a match for the other room.");
    Err(mistakes)
}

fn stale(saved: &Thing, mine: &ThingForm) -> Conflict {
    let theirs = ThingForm::of(saved);
    let mut conflict = Conflict::new(&saved.details.says(), format!("{}/edit", saved.href()), saved.version);
    for field in FORM {
        let (theirs, mine) = ((field.of)(&theirs), (field.of)(mine));
        conflict.silent(field.name, mine);
        conflict.compare(field.label, shown(field.name, theirs), shown(field.name, mine));
    }
    conflict.list("hazard", "Fuel warnings", &theirs.hazard, &mine.hazard);
    conflict
}

/// What was typed or chosen in a field, as people read it.
fn shown<'a>(field: &str, text: &'a str) -> &'a str {
    let label: Option<&str> = match field {
        "state" => text.parse::<ThingState>().ok().map(ThingState::label),
        _ => None,
    };
    label.unwrap_or(text)
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct Seen {
    version: i64,
}

async fn remove(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, thing)): Path<(i64, i64)>,
    Form(seen): Form<Seen>,
) -> Result<Response> {
    let now = app.clock.now();
    event(&app, id).await?;
    let thing = found(&app, id, thing).await?;
    let (actor, which) = (visit.user.actor(), (id, thing.id));
    let write =
        app.db.write(move |tx| Box::pin(async move { store::remove(tx, actor, which, seen.version, now).await }));
    if write.await? {
        let said = format!("Removed from {}: {}.", thing.details.room, thing.details.says());
        return Ok(flash::redirect(&format!("/events/{id}/rooms"), &said));
    }
    Ok(flash::redirect(
        &thing.href(),
        "Nothing was removed. Someone else just changed this item. Check it and try again.",
    ))
}
