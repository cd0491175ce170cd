//! Adding the people of a file, or looking at it with other columns.

use super::checking::{check_file, known};
use super::page::{self, PATH, Waiting, address, waiting};
use crate::accounts::{PeopleKeeper, Visit};
use crate::directory::files;
use crate::directory::reading::Field;
use crate::directory::store::{self, Import};
use crate::error::{Error, Result};
use crate::people::{self, Details};
use crate::state::App;
use crate::web::flash::{self, Undo};
use crate::web::form::Form;
use crate::web::page::show_as;
use crate::web::routes::post;
use crate::web::words;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;
use std::sync::Arc;
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new().route("/people/import", post(keep))
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct KeepForm {
    file: i64,
    column: Vec<String>,
    /// Is the first row a heading, "yes" or "no": as chosen.
    heading: String,
    /// The same as it was when the page was shown.
    heading_seen: String,
    act: String,
    /// "out" leaves out people who are already here.
    known: String,
}

impl KeepForm {
    /// Whether the first row is a heading, if that was chosen differently.
    fn new_heading(&self) -> Option<bool> {
        let is_chosen = self.heading != self.heading_seen && matches!(self.heading.as_str(), "yes" | "no");
        is_chosen.then_some(self.heading == "yes")
    }

    /// What each column is, if the page had columns.
    fn columns(&self) -> Option<Vec<Option<Field>>> {
        (!self.column.is_empty()).then(|| self.column.iter().map(|name| name.parse().ok()).collect())
    }
}

async fn keep(
    State(app): State<App>,
    PeopleKeeper(visit): PeopleKeeper,
    Form(form): Form<KeepForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let Some(mut import) = store::waiting(app.db.read(), form.file, visit.user.account_id).await? else {
        return no_longer_waiting(&app, form.file).await;
    };
    if let Some(has_heading) = form.new_heading() {
        return choose_heading(&app, import.id, has_heading).await;
    }
    import.columns = form.columns().or(import.columns);
    if form.act != "keep" {
        return save_columns(&app, &form, Redirect::to(&address(import.id)).into_response()).await;
    }
    let people = match check_file(&app, &import, now).await? {
        Ok(checked) if checked.is_fine() => without_known(&app, checked.people, &form).await?,
        Ok(checked) => return refuse(&app, &visit, String::new(), Some(waiting(&import, checked, 0))).await,
        Err(wrong) => return refuse(&app, &visit, wrong, None).await,
    };
    if people.is_empty() {
        let said = "Everyone in this file is already here. No one was added.";
        return save_columns(&app, &form, flash::redirect(&address(import.id), said)).await;
    }
    bring_in(&app, &visit, import, people, now).await
}

async fn no_longer_waiting(app: &App, file: i64) -> Result<Response> {
    let is_done = store::done(app.db.read()).await?.into_iter().any(|done| done.id == file);
    if is_done { Ok(flash::redirect(PATH, "That file was already imported.")) } else { Err(Error::NotFound) }
}

/// Shows the file again. What was chosen for the columns was about different rows.
async fn choose_heading(app: &App, id: i64, has_heading: bool) -> Result<Response> {
    app.db.write(move |tx| Box::pin(async move { store::choose_heading(tx, id, has_heading).await })).await?;
    Ok(Redirect::to(&address(id)).into_response())
}

/// Saves what was chosen for the columns if no one is imported with it, and then answers.
async fn save_columns(app: &App, form: &KeepForm, answer: Response) -> Result<Response> {
    if let Some(columns) = form.columns() {
        let id = form.file;
        app.db.write(move |tx| Box::pin(async move { store::choose_columns(tx, id, &columns).await })).await?;
    }
    Ok(answer)
}

async fn refuse(app: &App, visit: &Visit, wrong: String, waiting: Option<Waiting>) -> Result<Response> {
    show_as(StatusCode::UNPROCESSABLE_ENTITY, &page::view(app, visit, wrong, waiting).await?)
}

/// Without those who are already here, if the form says so.
async fn without_known(app: &App, mut people: Vec<Details>, form: &KeepForm) -> Result<Vec<Details>> {
    if form.known == "out" {
        let known = known(app, &people).await?;
        let mut place = 0..;
        people.retain(|_| place.next().is_none_or(|place| !known.contains(&place)));
    }
    Ok(people)
}

async fn bring_in(
    app: &App,
    visit: &Visit,
    import: Import,
    people: Vec<Details>,
    now: OffsetDateTime,
) -> Result<Response> {
    let (actor, id, key) = (visit.user.actor(), import.id, import.key.clone());
    let said = words::count(people.len(), "person", "people");
    // The write may run twice, and the people shouldn't be copied for that.
    let people = Arc::new(people);
    let kept = app.db.write(move |tx| {
        Box::pin(async move {
            let count = i64::try_from(people.len())?;
            if let Some(columns) = &import.columns {
                store::choose_columns(tx, import.id, columns).await?;
            }
            let first = store::settle(tx, actor, &import, count, now).await?;
            if first {
                people::add_all(tx, import.id, &people, now).await?;
            }
            Ok(first)
        })
    });
    if !kept.await? {
        return Ok(flash::redirect(PATH, "That file was already imported."));
    }
    files::remove(app, &key).await;
    let undo = Undo { action: "/people/import/undo".to_owned(), fields: vec![("import".to_owned(), id.to_string())] };
    Ok(flash::redirect_with_undo("/people", &format!("Added {said}."), &undo))
}
