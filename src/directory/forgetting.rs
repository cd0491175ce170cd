//! Erasing a person's data when they ask for it.

use super::routes::find;
use crate::accounts::{self, PeopleKeeper, Visit};
use crate::db::Tx;
use crate::db::journal::{self, Actor};
use crate::error::Result;
use crate::people::{self, Person};
use crate::state::App;
use crate::web::flash;
use crate::web::form::Form;
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::{asks, crew, events, gifts, guests, loans, mail, permit_records, press, rooms, talk, thanks};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new().route("/people/{id}/erase", get(ask).merge(post(forget)))
}

#[derive(Template)]
#[template(path = "directory/forget.html")]
struct ForgetPage {
    page: Page,
    person: Person,
    /// What pages call them from now on.
    called: String,
    refused: &'static str,
}

const SIGNS_IN: &str = "This person has an account that can sign in. First disable it in Settings, Accounts. Then come \
                        back and erase their data.";
const CHANGED: &str = "Someone changed this person while you were here. Nothing was erased. Check again, then erase.";

async fn view(app: &App, visit: &Visit, person: Person, refused: &'static str) -> Result<ForgetPage> {
    let page = events::page(app, visit, None, app.clock.now()).await?.titled("Erase personal data");
    let page = page.under(format!("/people/{}", person.id), person.details.name.as_str());
    Ok(ForgetPage { page, called: people::erased(person.id), person, refused })
}

async fn ask(State(app): State<App>, PeopleKeeper(visit): PeopleKeeper, Path(id): Path<i64>) -> Result<Response> {
    let person = find(&app, id).await?;
    let account = accounts::of_person(&mut *app.db.read().acquire().await?, id).await?;
    let refused = if account.is_some_and(|account| !account.disabled) { SIGNS_IN } else { "" };
    show(&view(&app, &visit, person, refused).await?)
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct ForgetForm {
    version: i64,
}

async fn forget(
    State(app): State<App>,
    PeopleKeeper(visit): PeopleKeeper,
    Path(id): Path<i64>,
    Form(form): Form<ForgetForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let person = find(&app, id).await?;
    let (actor, version) = (visit.user.actor(), form.version);
    let forget = app.db.write(move |tx| Box::pin(async move { blank(tx, actor, id, version, now).await }));
    match forget.await? {
        Ok(()) => Ok(flash::redirect("/people", "Their personal data is erased.")),
        Err(refused) => {
            let status = if refused == CHANGED { StatusCode::CONFLICT } else { StatusCode::UNPROCESSABLE_ENTITY };
            show_as(status, &view(&app, &visit, person, refused).await?)
        }
    }
}

async fn blank(
    tx: &mut Tx,
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
    let called = people::erased(id);
    for row in &rows {
        let Some(account) = accounts::of_person(tx, *row).await? else { continue };
        if !account.disabled {
            return Ok(Err(SIGNS_IN));
        }
        words.push(account.mail);
        accounts::forget(tx, account.id).await?;
    }
    words.extend(people::words_of(tx, &rows).await?);
    asks::forget(tx, &rows, now).await?;
    asks::forget_offers(tx, &rows, now).await?;
    guests::forget(tx, &rows).await?;
    gifts::forget(tx, &rows, &words).await?;
    loans::forget(tx, &rows, &words).await?;
    rooms::forget(tx, &words).await?;
    talk::forget(tx, &words).await?;
    permit_records::forget(tx, &rows, &words).await?;
    thanks::forget(tx, &rows).await?;
    press::forget(tx, &rows).await?;
    crew::forget(tx, &rows, &called).await?;
    mail::forget(tx, &rows, now).await?;
    journal::forget(tx, "person", &rows, &called).await?;
    journal::forget_words(tx, &words, &called).await?;
    people::forget(tx, actor, id, &rows, now).await?;
    Ok(Ok(()))
}
