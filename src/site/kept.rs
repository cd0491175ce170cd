//! Drawings that are kept under a name, and brought back.

use super::changing::change;
use super::page::{event, href, must_draw, refused};
use super::store;
use crate::accounts::SignedIn;
use crate::error::{Error, Result};
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
    Router::new()
        .route("/events/{id}/rooms/site/keep", post(keep))
        .route("/events/{id}/rooms/site/kept/{kept}", post(bring_back))
}

#[derive(Debug, Deserialize)]
struct KeepForm {
    #[serde(default)]
    name: String,
}

async fn keep(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Form(typed): Form<KeepForm>,
) -> Result<Response> {
    must_draw(&visit.user)?;
    event(&app, id).await?;
    let (now, account) = (app.clock.now(), visit.user.account_id);
    let name = form::line(&typed.name, 60).map_err(|_| {
        Error::BadRequest(
            "Type a name for this version, at most 60 letters long. Go back, and send it again.".to_owned(),
        )
    })?;
    let named = name.clone();
    let kept = app.db.write(move |tx| Box::pin(async move { store::keep(tx, account, id, &named, now).await })).await?;
    let said = if kept {
        format!("Kept as {name}.")
    } else {
        format!("There is a version named {name} already. Choose another name.")
    };
    Ok(flash::redirect(&href(id), &said))
}

async fn bring_back(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path((id, kept)): Path<(i64, i64)>,
) -> Result<Response> {
    must_draw(&visit.user)?;
    let all = store::kept(&mut *app.db.read().acquire().await?, id).await?;
    let kept = all.into_iter().find(|one| one.id == kept).ok_or(Error::NotFound)?;
    let said = format!("{} is back. Undo takes you to what was here before.", kept.name);
    let done = change(&app, &visit, id, move |plan, version| {
        *plan = kept.plan.renewed(plan.last, version);
        Ok(format!("{} brought back", kept.name))
    });
    match done.await? {
        Ok(_) => Ok(flash::redirect(&href(id), &said)),
        Err(why) => Ok(refused(id, why)),
    }
}
