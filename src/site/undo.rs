//! Undo and redo.

use super::page::{event, href, must_draw};
use super::store;
use crate::accounts::{SignedIn, Visit};
use crate::error::Result;
use crate::state::App;
use crate::web::flash;
use crate::web::form::{self, Form};
use crate::web::path::Path;
use crate::web::routes::post;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/rooms/site/undo", post(undo)).route("/events/{id}/rooms/site/redo", post(redo))
}

#[derive(Debug, Deserialize)]
struct Revision {
    revision: Option<i64>,
}

async fn undo(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Form(Revision { revision }): Form<Revision>,
) -> Result<Response> {
    step(&app, &visit, (id, revision), true).await
}

async fn redo(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Form(Revision { revision }): Form<Revision>,
) -> Result<Response> {
    step(&app, &visit, (id, revision), false).await
}

async fn step(app: &App, visit: &Visit, (id, revision): (i64, Option<i64>), is_back: bool) -> Result<Response> {
    must_draw(&visit.user)?;
    event(app, id).await?;
    let revision = revision.ok_or_else(form::in_pieces)?;
    let (now, actor) = (app.clock.now(), visit.user.actor());
    let write =
        app.db.write(move |tx| Box::pin(async move { store::step(tx, actor, (id, revision), is_back, now).await }));
    let said = match write.await? {
        Some(did) if is_back => format!("Undone: {did}."),
        Some(did) => format!("Done again: {did}."),
        None => "Nothing was changed. Someone else just changed the drawing, or there is nothing left to undo. Look, then try again.".to_owned(),
    };
    Ok(flash::redirect(&href(id), &said))
}
