//! The safety officer adopts the limits of a gate by name and date.

use super::page::href;
use super::snapshot::GateSnapshot;
use super::store;
use crate::accounts::{Role, Worker};
use crate::error::{Error, Result};
use crate::gates::gate::Gate;
use crate::state::App;
use crate::web::flash;
use crate::web::form::{Form, in_pieces};
use crate::web::path::Path;
use crate::web::routes::post;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/burn-day/gates/{gate}/adopt", post(adopt))
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct Version {
    version: Option<i64>,
    /// Where to go then: the list, or the gate.
    back: String,
}

async fn adopt(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, gate)): Path<(i64, i64)>,
    Form(form): Form<Version>,
) -> Result<Response> {
    let snapshot = GateSnapshot::load(&app, id).await?;
    if visit.user.role != Role::SafetyOfficer {
        return Err(Error::Forbidden("Only the safety officer can adopt limits. Ask the safety officer, or go back."));
    }
    let gate = snapshot.find(gate)?.clone();
    let (account, now) = (visit.user.account_id, snapshot.now);
    let (name, own) = (gate.details.name.clone(), gate.href());
    let seen = Gate { version: form.version.ok_or_else(in_pieces)?, ..gate };
    let write = app.db.write(move |tx| Box::pin(async move { store::adopt(tx, account, &seen, now).await }));
    let said = if write.await? {
        format!("Adopted: the limits of {name}, by you, today.")
    } else {
        "Not adopted: someone changed the limits in the meantime. Read them again.".to_owned()
    };
    let to = if form.back == "list" { href(id) } else { own };
    Ok(flash::redirect(&to, &said))
}
