//! Reading and writing the text of a release.

use super::form::PaperForm;
use super::page::{as_saved, view};
use super::snapshot::PaperSnapshot;
use super::store;
use crate::accounts::SignedIn;
use crate::error::Result;
use crate::events;
use crate::press::editor::PressEditor;
use crate::state::App;
use crate::web::conflict;
use crate::web::flash;
use crate::web::form::Form;
use crate::web::page::{show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/press/releases/{paper}", get(paper).merge(post(save)))
}

async fn paper(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path((id, paper)): Path<(i64, i64)>,
) -> Result<Response> {
    show(&as_saved(&app, &visit, PaperSnapshot::load(&app, id, paper).await?, None).await?)
}

async fn save(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path((id, paper)): Path<(i64, i64)>,
    Form(form): Form<PaperForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = PaperSnapshot::load(&app, id, paper).await?;
    let new = match form.read(&snapshot.facts) {
        Ok(new) => new,
        Err(mistakes) => {
            let page = view(&app, &visit, snapshot, (form, mistakes), None).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (here, old) = (snapshot.href(), snapshot.paper);
    if new == old.draft && form.version == old.version {
        return Ok(flash::redirect(&here, "There was nothing to save: the text is the same."));
    }
    let (by, version) = (visit.user.account_id, form.version);
    let save = app.db.write(move |tx| Box::pin(async move { store::save(tx, by, &old, &new, version, now).await }));
    if save.await? {
        return Ok(flash::redirect(&here, "The text is saved."));
    }
    let PaperSnapshot { event, paper: theirs, .. } = PaperSnapshot::load(&app, id, paper).await?;
    conflict::show(events::page(&app, &visit, Some(&event), now).await?, &form.conflict(&theirs))
}
