//! Putting an outlet on the list, saying who is responsible, and taking it off.

use super::store;
use crate::accounts;
use crate::error::Result;
use crate::press::editor::{PressEditor, event};
use crate::press::outlets::owners::owners;
use crate::press::outlets::page::found;
use crate::state::App;
use crate::web::flash;
use crate::web::form::Form;
use crate::web::path::Path;
use crate::web::routes::post;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use serde::Deserialize;

pub(in crate::press::outlets) fn router() -> Router<App> {
    Router::new().route("/events/{id}/press/outlets/{outlet}/list", post(list))
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct ListForm {
    owner: String,
    act: String,
}

async fn list(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path((id, outlet)): Path<(i64, i64)>,
    Form(form): Form<ListForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (event, outlet) = (event(&app, id).await?, found(&app, outlet).await?);
    let here = outlet.href(id);
    let accounts = accounts::list_in(&mut *app.db.read().acquire().await?).await?;
    let owner = owners(&accounts).into_iter().find(|owner| owner.id.to_string() == form.owner).map(|owner| owner.id);
    let (actor, act, name) = (visit.user.actor(), form.act, outlet.details.name.clone());
    let said = match act.as_str() {
        "list" => format!("{name} is on the list."),
        "take off" => format!("{name} is off the list. Their contacts stay in the log."),
        _ => return Ok(flash::redirect(&here, "Nothing was saved. Choose one of the buttons.")),
    };
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            if act == "list" {
                store::list_outlet(tx, actor, event.id, (outlet.id, &outlet.details.name), owner, now).await
            } else {
                store::unlist(tx, actor, event.id, &outlet, now).await
            }
        })
    });
    write.await?;
    Ok(flash::redirect(&here, &said))
}
