//! Pinning an estimate as the plan.

use super::page::must_plan_fire;
use super::snapshot::FireSnapshot;
use super::store;
use crate::accounts::SignedIn;
use crate::error::{Error, Result};
use crate::state::App;
use crate::web::flash;
use crate::web::form::Form;
use crate::web::path::Path;
use crate::web::routes::post;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/rooms/fire/pin", post(pin))
}

#[derive(Debug, Deserialize)]
struct PinForm {
    setting: Option<i64>,
    /// The setting's version that was shown.
    #[serde(default)]
    version: i64,
}

async fn pin(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Form(form): Form<PinForm>,
) -> Result<Response> {
    must_plan_fire(&visit.user)?;
    let (now, account) = (app.clock.now(), visit.user.account_id);
    let known = FireSnapshot::load(&app, id).await?;
    let Some(setting) = form.setting else {
        return Err(Error::BadRequest(
            "Say which estimate to pin. Go back, and press the button beside it.".to_owned(),
        ));
    };
    let chosen = known.chosen(Some(setting))?;
    if chosen.version != form.version {
        let said = "Someone changed this estimate after you opened it. Look at it again, then pin it.";
        return Ok(flash::redirect(&format!("/events/{id}/rooms/fire?setting={setting}"), said));
    }
    let setup = chosen.setup;
    if setup.read().is_err() {
        return Err(Error::BadRequest(
            "Part of what this estimate rests on can't be used. Open it, fix what is marked, save, and pin it then."
                .to_owned(),
        ));
    }
    app.db.write(move |tx| Box::pin(async move { store::pin(tx, account, id, &setup, now).await })).await?;
    Ok(flash::redirect(&format!("/events/{id}/rooms/fire"), "Pinned as the plan. 2,000 fires are being drawn for it."))
}
