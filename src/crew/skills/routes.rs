//! The department's list of qualifications.

use super::form::SkillForm;
use super::{Qualification, store};
use crate::accounts::{SignedIn, Visit};
use crate::crew::editor::{CrewEditor, keeps_crew};
use crate::error::{Error, Result};
use crate::events;
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::form::{Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

const HERE: &str = "/settings/qualifications";

pub(in crate::crew) fn router() -> Router<App> {
    Router::new()
        .route("/settings/qualifications", get(index).merge(post(add)))
        .route("/settings/qualifications/{qualification}", get(edit).merge(post(save)))
        .route("/settings/qualifications/{qualification}/remove", post(remove))
}

#[derive(Template)]
#[template(path = "crew/qualifications.html")]
struct Index {
    page: Page,
    known: Vec<Qualification>,
    lines: Vec<Line>,
    keeps: bool,
    form: SkillForm,
    mistakes: Mistakes,
}

#[derive(Template)]
#[template(path = "crew/qualification.html")]
struct Edit {
    page: Page,
    id: i64,
    known: Vec<Qualification>,
    form: SkillForm,
    mistakes: Mistakes,
}

/// One on the list.
struct Line {
    id: i64,
    name: String,
    /// With what it counts as.
    basis: String,
    holders: String,
}

async fn known(app: &App) -> Result<Vec<Qualification>> {
    store::qualifications(&mut *app.db.read().acquire().await?).await
}

async fn view(app: &App, visit: &Visit, form: SkillForm, mistakes: Mistakes) -> Result<Index> {
    let page = events::page(app, visit, None, app.clock.now()).await?.titled("Qualifications");
    let mut db = app.db.read().acquire().await?;
    let (known, holdings) = (store::qualifications(&mut db).await?, store::holdings(&mut db).await?);
    drop(db);
    let line = |one: &Qualification| {
        let holders = holdings.iter().filter(|held| held.kept.qualification_id == one.id).count();
        let lesser = one.counts_as.and_then(|id| known.iter().find(|other| other.id == id));
        let counts = lesser.map(|lesser| format!("counts as {} · ", lesser.name)).unwrap_or_default();
        Line {
            id: one.id,
            name: one.name.clone(),
            basis: format!("{counts}{}", one.basis),
            holders: words::count(holders, "person", "people"),
        }
    };
    let lines = known.iter().map(line).collect();
    Ok(Index { page, known, lines, keeps: keeps_crew(&visit.user), form, mistakes })
}

async fn index(State(app): State<App>, SignedIn(visit): SignedIn) -> Result<Response> {
    show(&view(&app, &visit, SkillForm::default(), Mistakes::default()).await?)
}

async fn add(State(app): State<App>, CrewEditor(visit): CrewEditor, Form(form): Form<SkillForm>) -> Result<Response> {
    let now = app.clock.now();
    let new = match form.read(0, &known(&app).await?) {
        Ok(new) => new,
        Err(mistakes) => {
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &view(&app, &visit, form, mistakes).await?);
        }
    };
    let actor = visit.user.actor();
    let write = app.db.write(move |tx| Box::pin(async move { store::add(tx, actor, &new, now).await }));
    let said = match write.await? {
        Some(_) => "Qualification added.",
        None => "Nothing was added: there is already one with this name.",
    };
    Ok(flash::redirect(HERE, said))
}

async fn found(app: &App, id: i64) -> Result<(Qualification, Vec<Qualification>)> {
    let known = known(app).await?;
    let one = known.iter().find(|one| one.id == id).cloned().ok_or(Error::NotFound)?;
    Ok((one, known))
}

async fn edit_view(app: &App, visit: &Visit, id: i64, form: SkillForm, mistakes: Mistakes) -> Result<Edit> {
    let page = events::page(app, visit, None, app.clock.now()).await?.titled("Edit qualification");
    let mut known = known(app).await?;
    known.retain(|one| one.id != id);
    Ok(Edit { page, id, known, form, mistakes })
}

async fn edit(State(app): State<App>, CrewEditor(visit): CrewEditor, Path(id): Path<i64>) -> Result<Response> {
    let (one, _) = found(&app, id).await?;
    show(&edit_view(&app, &visit, id, SkillForm::of(&one), Mistakes::default()).await?)
}

async fn save(
    State(app): State<App>,
    CrewEditor(visit): CrewEditor,
    Path(id): Path<i64>,
    Form(form): Form<SkillForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (old, known) = found(&app, id).await?;
    let new = match form.read(id, &known) {
        Ok(new) => new,
        Err(mistakes) => {
            let page = edit_view(&app, &visit, id, form, mistakes).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let actor = visit.user.actor();
    let write = app.db.write(move |tx| Box::pin(async move { store::save(tx, actor, (&old, &new), now).await }));
    if write.await? {
        return Ok(flash::redirect(HERE, "Qualification saved."));
    }
    let (theirs, known) = found(&app, id).await?;
    let mut conflict = Conflict::new(&theirs.name, format!("{HERE}/{id}"), theirs.version);
    let of = SkillForm::of(&theirs);
    conflict.field("name", "Name", &of.name, &form.name);
    conflict.field("basis", "Source", &of.basis, &form.basis);
    let name =
        |id: &str| known.iter().find(|one| one.id.to_string() == id).map(|one| one.name.clone()).unwrap_or_default();
    conflict.silent("counts_as", &form.counts_as);
    conflict.compare("Counts as", &name(&of.counts_as), &name(&form.counts_as));
    conflict::show(events::page(&app, &visit, None, now).await?, &conflict)
}

async fn remove(State(app): State<App>, CrewEditor(visit): CrewEditor, Path(id): Path<i64>) -> Result<Response> {
    let now = app.clock.now();
    let (old, _) = found(&app, id).await?;
    let actor = visit.user.actor();
    let write = app.db.write(move |tx| Box::pin(async move { store::remove(tx, actor, &old, now).await }));
    let said = if write.await? {
        "Qualification removed. No position requires it now."
    } else {
        "Nothing was removed: someone holds it. Remove it from their list first."
    };
    Ok(flash::redirect(HERE, said))
}
