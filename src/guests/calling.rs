//! Saving that someone called a guest's office.

use super::{page, store};
use crate::accounts::Worker;
use crate::error::Result;
use crate::state::App;
use crate::web::flash;
use crate::web::path::Path;
use crate::web::routes::post;
use axum::Router;
use axum::extract::State;
use axum::response::Response;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/guests/{guest}/called", post(rang))
}

async fn rang(State(app): State<App>, Worker(visit): Worker, Path((id, guest)): Path<(i64, i64)>) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = page::snapshot(&app, id).await?;
    let known = page::found(&snapshot, guest)?;
    let (actor, today) = (visit.user.actor(), snapshot.event.today(now));
    let (guest, name) = (known.guest.clone(), known.person.details.name.clone());
    let to = format!("/events/{id}/guests/{}", guest.id);
    let write =
        app.db.write(move |tx| Box::pin(async move { store::rang(tx, actor, (&guest, &name), today, now).await }));
    write.await?;
    Ok(flash::redirect(&to, "Saved: you called today. If they gave an answer, record the reply too."))
}
