//! Undoing an import.

use super::page::PATH;
use crate::accounts::PeopleKeeper;
use crate::directory::store;
use crate::error::{Error, Result};
use crate::people;
use crate::state::App;
use crate::web::flash;
use crate::web::form::Form;
use crate::web::routes::post;
use crate::web::words;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new().route("/people/import/undo", post(undo))
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct UndoForm {
    import: i64,
}

async fn undo(
    State(app): State<App>,
    PeopleKeeper(visit): PeopleKeeper,
    Form(form): Form<UndoForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (actor, id) = (visit.user.actor(), form.import);
    if !store::done(app.db.read()).await?.into_iter().any(|done| done.id == id) {
        return Err(Error::NotFound);
    }
    let undone = app.db.write(move |tx| {
        Box::pin(async move {
            if !people::remove_all(tx, id).await? {
                return Ok(None);
            }
            Ok(Some(store::unsettle(tx, actor, id, now).await?))
        })
    });
    let said = match undone.await? {
        None => "Someone in this file was changed, merged, or used since. The import was not undone.".to_owned(),
        Some(None) => "This import was already undone.".to_owned(),
        Some(Some(people)) => {
            let people = usize::try_from(people).unwrap_or(0);
            format!("Import undone. {} removed.", words::count(people, "person was", "people were"))
        }
    };
    Ok(flash::redirect(PATH, &said))
}
