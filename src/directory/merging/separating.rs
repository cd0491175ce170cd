//! Undoing a merge.

use crate::accounts::PeopleKeeper;
use crate::db::Tx;
use crate::db::journal::{self, Actor};
use crate::directory::found::found;
use crate::error::{Error, Result};
use crate::people::{self, AllPersonReferences, MergeUndo};
use crate::state::App;
use crate::web::flash;
use crate::web::form::Form;
use crate::web::path::Path;
use crate::web::routes::post;
use axum::extract::State;
use axum::response::Response;
use axum::{Extension, Router};
use serde::Deserialize;
use serde_json::Value;
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new().route("/people/{id}/undo-merge", post(separate))
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct SeparateForm {
    /// The entry of the merge in the journal.
    entry: i64,
}

async fn separate(
    State(app): State<App>,
    PeopleKeeper(visit): PeopleKeeper,
    Extension(references): Extension<AllPersonReferences>,
    Path(id): Path<i64>,
    Form(form): Form<SeparateForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let person = found(&app, id).await?;
    let (actor, before) = (visit.user.actor(), before_the_merge(&app, id, form.entry).await?);
    let separate =
        app.db.write(move |tx| Box::pin(async move { make_two(tx, references, actor, id, &before, now).await }));
    let said = match separate.await? {
        None => "This merge was already undone.".to_owned(),
        Some(true) => "Merge undone. Both records are back as they were.".to_owned(),
        Some(false) => {
            let name = &person.details.name;
            format!("Merge undone. {name} was changed since the merge, and those changes stay.")
        }
    };
    Ok(flash::redirect(&format!("/people/{id}"), &said))
}

/// What the journal's entry of a merge says about the record that stayed.
async fn before_the_merge(app: &App, id: i64, entry: i64) -> Result<Value> {
    let kept = journal::kept(&mut *app.db.read().acquire().await?, entry, "person", "merged").await?;
    let (_, before) = kept.filter(|(subject, _)| *subject == Some(id)).ok_or(Error::NotFound)?;
    Ok(before)
}

/// None if they are two already; otherwise whether the record that stayed is as it was.
async fn make_two(
    tx: &mut Tx,
    references: AllPersonReferences,
    actor: Actor,
    id: i64,
    before: &Value,
    now: OffsetDateTime,
) -> Result<Option<bool>> {
    let undo: MergeUndo = serde_json::from_value(before["undo"].clone())?;
    // First, since it finds out whether there is anything to undo.
    let separated = people::separate(tx, actor, id, &undo, before, now).await?;
    if separated.is_some() {
        references.undo(tx, &undo.moved, id, undo.gone).await?;
    }
    Ok(separated)
}
