//! What goes out next, and canceling one of it.

use super::due::Inputs;
use super::line::Line;
use super::loaded::Loaded;
use super::page::{event, view};
use super::rules;
use super::store::{self, Settled};
use crate::accounts::{Officer, SignedIn};
use crate::error::Result;
use crate::state::App;
use crate::web::flash;
use crate::web::form::Form;
use crate::web::page::show;
use crate::web::path::Path;
use crate::web::routes::{get, post};
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use serde::Deserialize;

/// What goes out next, and the rules for it.
pub fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/scheduled", get(index))
        .route("/events/{id}/scheduled/skip", post(skip))
        .merge(rules::router())
}

async fn index(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let event = event(&app, id).await?;
    show(&view(&app, &visit, &event, app.clock.now()).await?)
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct SkipForm {
    key: String,
}

async fn skip(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Form(form): Form<SkipForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = event(&app, id).await?;
    let loaded = Loaded::of(&app, &event, now).await?;
    let here = format!("/events/{id}/scheduled");
    let Some((is_call, line)) = find(&loaded.known(&event, now), &form.key) else {
        return Ok(flash::redirect(&here, "Nothing changed. This reminder was already sent or is no longer needed."));
    };
    let actor = visit.user.actor();
    let skip = app.db.write(move |tx| {
        Box::pin(async move {
            let reminder = Settled { key: &line.key, event_id: id, person_id: line.person_id, title: &line.title };
            store::skip(tx, actor, &reminder, now).await
        })
    });
    let said = match (skip.await?, is_call) {
        (true, true) => "Saved. This call is off the list.",
        (true, false) => "Canceled. This reminder won't go out.",
        (false, _) => "Nothing changed. This reminder was already sent or taken care of.",
    };
    Ok(flash::redirect(&here, said))
}

/// The reminder with this key, and whether it is a call.
fn find(known: &Inputs<'_>, key: &str) -> Option<(bool, Line)> {
    let line = known.lines().into_values().flatten().find(|line| line.key == key)?;
    Some((known.is_call(&line), line))
}
