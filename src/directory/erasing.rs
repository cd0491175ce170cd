//! Erasing a person's data when they ask for it.

use super::found::found;
use crate::accounts::{self, PeopleKeeper, Visit};
use crate::db::Tx;
use crate::db::journal::{self, Actor};
use crate::error::Result;
use crate::events;
use crate::people::{self, AllPersonReferences, Erasure, Person};
use crate::state::App;
use crate::web::flash;
use crate::web::form::Form;
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum::{Extension, Router};
use serde::Deserialize;
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new().route("/people/{id}/erase", get(ask).merge(post(erase)))
}

#[derive(Template)]
#[template(path = "directory/erase.html")]
struct ErasePage {
    page: Page,
    person: Person,
    /// What pages call them from now on.
    called: String,
    refused: &'static str,
}

const SIGNS_IN: &str = "This person has an account that can sign in. First disable it in Settings, Accounts. Then come \
                        back and erase their data.";
const CHANGED: &str = "Someone changed this person while you were here. Nothing was erased. Check again, then erase.";

async fn view(app: &App, visit: &Visit, person: Person, refused: &'static str) -> Result<ErasePage> {
    let page = events::page(app, visit, None, app.clock.now()).await?.titled("Erase personal data");
    let page = page.under(format!("/people/{}", person.id), person.details.name.as_str());
    Ok(ErasePage { page, called: people::erased(person.id), person, refused })
}

async fn ask(State(app): State<App>, PeopleKeeper(visit): PeopleKeeper, Path(id): Path<i64>) -> Result<Response> {
    let person = found(&app, id).await?;
    let account = accounts::of_person(&mut *app.db.read().acquire().await?, id).await?;
    let refused = if account.is_some_and(|account| !account.disabled) { SIGNS_IN } else { "" };
    show(&view(&app, &visit, person, refused).await?)
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct EraseForm {
    version: i64,
}

async fn erase(
    State(app): State<App>,
    PeopleKeeper(visit): PeopleKeeper,
    Extension(references): Extension<AllPersonReferences>,
    Path(id): Path<i64>,
    Form(form): Form<EraseForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let person = found(&app, id).await?;
    let (actor, version) = (visit.user.actor(), form.version);
    let erase = app.db.write(move |tx| Box::pin(async move { blank(tx, references, actor, id, version, now).await }));
    match erase.await? {
        Ok(()) => Ok(flash::redirect("/people", "Their personal data is erased.")),
        Err(refused) => {
            let status = if refused == CHANGED { StatusCode::CONFLICT } else { StatusCode::UNPROCESSABLE_ENTITY };
            show_as(status, &view(&app, &visit, person, refused).await?)
        }
    }
}

async fn blank(
    tx: &mut Tx,
    references: AllPersonReferences,
    actor: Actor,
    id: i64,
    version: i64,
    now: OffsetDateTime,
) -> Result<Result<(), &'static str>> {
    if people::find(tx, id).await?.is_none_or(|person| person.version != version) {
        return Ok(Err(CHANGED));
    }
    // Rows merged into this one are the same person.
    let rows = people::same_as(tx, id).await?;
    let mut words = Vec::new();
    for row in &rows {
        let Some(account) = accounts::of_person(tx, *row).await? else { continue };
        if !account.disabled {
            return Ok(Err(SIGNS_IN));
        }
        words.push(account.mail);
    }
    // The words that identify them are read before anything is blanked. The journal comes after
    // the slices, since they may add to it, and their own rows come last: that entry stays.
    words.extend(people::words_of(tx, &rows).await?);
    words.retain(|word| !word.is_empty());
    let erasure = Erasure { rows, words, called: people::erased(id), now };
    references.blank(tx, &erasure).await?;
    journal::forget(tx, "person", &erasure.rows, &erasure.called).await?;
    journal::forget_words(tx, &erasure.words, &erasure.called).await?;
    people::erase(tx, actor, id, &erasure).await?;
    Ok(Ok(()))
}
