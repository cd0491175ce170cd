//! Looking at an outlet and editing it.

use super::contacts::Attempt;
use super::form::OutletForm;
use super::page::{found, view};
use super::store::{self, Refused};
use super::{Outlet, OutletDetails};
use crate::accounts::{SignedIn, Visit};
use crate::error::Result;
use crate::events;
use crate::press::editor::{PressEditor, event};
use crate::state::App;
use crate::web::conflict;
use crate::web::flash;
use crate::web::form::{Form, Mistakes};
use crate::web::page::{show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/press/outlets/{outlet}", get(outlet).merge(post(change)))
}

async fn outlet(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path((id, outlet)): Path<(i64, i64)>,
) -> Result<Response> {
    let (event, outlet) = (event(&app, id).await?, found(&app, outlet).await?);
    let form = OutletForm::of(&outlet.details, outlet.version);
    show(&view(&app, &visit, &event, outlet, (form, Mistakes::default()), Attempt::default()).await?)
}

async fn change(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path((id, outlet)): Path<(i64, i64)>,
    Form(form): Form<OutletForm>,
) -> Result<Response> {
    let (event, outlet) = (event(&app, id).await?, found(&app, outlet).await?);
    let mistakes = match form.read() {
        Err(mistakes) => mistakes,
        Ok(new) => match save(&app, &visit, Outlet { version: form.version, ..outlet.clone() }, new).await? {
            Ok(()) => return Ok(flash::redirect(&outlet.href(id), "The outlet is saved.")),
            Err(Refused::Stale) => {
                let page = events::page(&app, &visit, Some(&event), app.clock.now()).await?;
                return conflict::show(page, &form.conflict(&found(&app, outlet.id).await?, id));
            }
            Err(Refused::Taken) => {
                let mut mistakes = Mistakes::default();
                mistakes.add("name", "Another outlet has this name. Choose another name.");
                mistakes
            }
        },
    };
    let page = view(&app, &visit, &event, outlet, (form, mistakes), Attempt::default()).await?;
    show_as(StatusCode::UNPROCESSABLE_ENTITY, &page)
}

/// Saves it, unless someone has changed it since `old`.
async fn save(app: &App, visit: &Visit, old: Outlet, new: OutletDetails) -> Result<Result<(), Refused>> {
    let (now, actor) = (app.clock.now(), visit.user.actor());
    app.db.write(move |tx| Box::pin(async move { store::change(tx, actor, &old, &new, now).await })).await
}
