//! Adding a person, and changing what is known about one.

use super::form::PersonForm;
use super::form_fields::FORM;
use super::found::found;
use crate::accounts::{PeopleKeeper, Visit};
use crate::error::Result;
use crate::events;
use crate::people::{self, Details, Name, Person};
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::form::{Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/people/new", get(new).merge(post(add)))
        .route("/people/{id}/edit", get(edit).merge(post(change)))
}

#[derive(Template)]
#[template(path = "directory/edit.html")]
struct Edit {
    page: Page,
    heading: String,
    action: String,
    form: PersonForm,
    mistakes: Mistakes,
    /// No one has said where the surname begins.
    asks_surname: bool,
    organizations: Vec<Name>,
}

async fn edit_page(
    app: &App,
    visit: &Visit,
    heading: &str,
    action: String,
    (form, mistakes): (PersonForm, Mistakes),
) -> Result<Edit> {
    let page = events::page(app, visit, None, app.clock.now()).await?.titled(heading);
    let page = if form.version > 0 { page.under(&action, heading) } else { page };
    let organizations = people::organizations(app.db.read()).await?;
    let asks_surname = Details::of_parts(form.given_name.trim(), form.surname.trim()).lacks_surname();
    Ok(Edit { page, heading: heading.to_owned(), action, form, mistakes, asks_surname, organizations })
}

const NEW: &str = "Add a person";

async fn new(State(app): State<App>, PeopleKeeper(visit): PeopleKeeper) -> Result<Response> {
    let form = PersonForm { channel: "mail".to_owned(), ..PersonForm::default() };
    show(&edit_page(&app, &visit, NEW, "/people/new".to_owned(), (form, Mistakes::default())).await?)
}

async fn add(
    State(app): State<App>,
    PeopleKeeper(visit): PeopleKeeper,
    Form(form): Form<PersonForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let details = match form.read() {
        Ok(details) => details,
        Err(mistakes) => {
            let page = edit_page(&app, &visit, NEW, "/people/new".to_owned(), (form, mistakes)).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (actor, name) = (visit.user.actor(), details.name.clone());
    let added = app.db.write(move |tx| Box::pin(async move { people::add(tx, actor, &details, now).await }));
    Ok(flash::redirect(&format!("/people/{}", added.await?), &format!("Saved {name}.")))
}

async fn edit(State(app): State<App>, PeopleKeeper(visit): PeopleKeeper, Path(id): Path<i64>) -> Result<Response> {
    let person = found(&app, id).await?;
    let form = PersonForm::of(&person.details, person.version);
    let page = edit_page(&app, &visit, &person.details.name, format!("/people/{id}"), (form, Mistakes::default()));
    show(&page.await?)
}

async fn change(
    State(app): State<App>,
    PeopleKeeper(visit): PeopleKeeper,
    Path(id): Path<i64>,
    Form(form): Form<PersonForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let person = found(&app, id).await?;
    let details = match form.read() {
        Ok(details) => details,
        Err(mistakes) => {
            let action = format!("/people/{id}");
            let page = edit_page(&app, &visit, &person.details.name, action, (form, mistakes)).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (actor, version, name) = (visit.user.actor(), form.version, details.name.clone());
    let change =
        app.db.write(move |tx| Box::pin(async move { people::change(tx, actor, id, &details, version, now).await }));
    if change.await? {
        return Ok(flash::redirect(&format!("/people/{id}"), &format!("Saved {name}.")));
    }
    let page = events::page(&app, &visit, None, now).await?;
    conflict::show(page, &stale(&found(&app, id).await?, &form))
}

fn stale(person: &Person, mine: &PersonForm) -> Conflict {
    let theirs = PersonForm::of(&person.details, person.version);
    let mut conflict = Conflict::new(&person.details.name, format!("/people/{}/edit", person.id), person.version);
    for field in FORM {
        let (theirs, mine) = ((field.of)(&theirs), (field.of)(mine));
        conflict.silent(field.name, mine);
        conflict.compare(field.label, &field.shown(theirs), &field.shown(mine));
    }
    conflict
}
