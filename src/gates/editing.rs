//! Adding, changing, and removing a gate.

use super::form::{FORM, GateForm};
use super::gate::{Details, Gate};
use super::page::{href, only_planners, page};
use super::snapshot::GateSnapshot;
use super::store;
use crate::accounts::{Visit, Worker};
use crate::error::{Error, Result};
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::form::{Form, Mistakes, in_pieces};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/burn-day/gates/new", get(new).merge(post(create)))
        .route("/events/{id}/burn-day/gates/{gate}/edit", get(edit).merge(post(change)))
        .route("/events/{id}/burn-day/gates/{gate}/remove", post(remove))
}

#[derive(Template)]
#[template(path = "gates/edit.html")]
struct Edit {
    page: Page,
    heading: &'static str,
    form: GateForm,
    mistakes: Mistakes,
    /// Where to send the form that removes it; empty for a new one.
    removes: String,
}

const NEW: &str = "Add a gate";
const CHANGE: &str = "Edit a gate";

async fn edit_page(app: &App, visit: &Visit, snapshot: &GateSnapshot, gate: Option<&Gate>) -> Result<Edit> {
    let heading = if gate.is_some() { CHANGE } else { NEW };
    let page = page(app, visit, &snapshot.event, heading).await?;
    Ok(Edit {
        page: if let Some(gate) = gate { page.under(gate.href(), &gate.details.name) } else { page },
        heading,
        form: gate.map_or_else(GateForm::fresh, GateForm::of),
        mistakes: Mistakes::default(),
        removes: gate.map(|gate| format!("{}/remove", gate.href())).unwrap_or_default(),
    })
}

async fn new(State(app): State<App>, Worker(visit): Worker, Path(id): Path<i64>) -> Result<Response> {
    only_planners(&visit)?;
    let snapshot = GateSnapshot::load(&app, id).await?;
    show(&edit_page(&app, &visit, &snapshot, None).await?)
}

async fn create(
    State(app): State<App>,
    Worker(visit): Worker,
    Path(id): Path<i64>,
    Form(form): Form<GateForm>,
) -> Result<Response> {
    only_planners(&visit)?;
    let snapshot = GateSnapshot::load(&app, id).await?;
    let page = edit_page(&app, &visit, &snapshot, None).await?;
    let details = match form.read(None) {
        Ok(details) => details,
        Err(mistakes) => return show_as(StatusCode::UNPROCESSABLE_ENTITY, &Edit { form, mistakes, ..page }),
    };
    let (actor, now, said) = (visit.user.actor(), snapshot.now, format!("Added: {}.", details.name));
    app.db.write(move |tx| Box::pin(async move { store::add(tx, actor, id, &[details], now).await })).await?;
    Ok(flash::redirect(&href(id), &said))
}

async fn edit(State(app): State<App>, Worker(visit): Worker, Path((id, gate)): Path<(i64, i64)>) -> Result<Response> {
    only_planners(&visit)?;
    let snapshot = GateSnapshot::load(&app, id).await?;
    let gate = snapshot.find(gate)?;
    show(&edit_page(&app, &visit, &snapshot, Some(gate)).await?)
}

async fn change(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, gate)): Path<(i64, i64)>,
    Form(form): Form<GateForm>,
) -> Result<Response> {
    only_planners(&visit)?;
    let snapshot = GateSnapshot::load(&app, id).await?;
    let gate = snapshot.find(gate)?;
    let edit = edit_page(&app, &visit, &snapshot, Some(gate)).await?;
    let details = match form.read(gate.details.permit_id) {
        Ok(details) => details,
        Err(mistakes) => return show_as(StatusCode::UNPROCESSABLE_ENTITY, &Edit { form, mistakes, ..edit }),
    };
    if form.version != gate.version {
        return conflict::show(edit.page, &compared(gate, &form));
    }
    save(&app, &visit, gate.clone(), details).await
}

async fn save(app: &App, visit: &Visit, gate: Gate, details: Details) -> Result<Response> {
    let again = gate.adopted.is_some() && details.needs_adopting() && !gate.details.asks_the_same(&details);
    let (actor, now, to) = (visit.user.actor(), app.clock.now(), gate.href());
    let write = app.db.write(move |tx| Box::pin(async move { store::save(tx, actor, &gate, &details, now).await }));
    let said = match (write.await?, again) {
        (false, _) => "Not saved: someone changed it in the meantime. Open it again and look at what they did.",
        (true, true) => "Saved. The limits changed, so the safety officer adopts them again.",
        (true, false) => "Saved.",
    };
    Ok(flash::redirect(&to, said))
}

/// Both versions, with the choice between them.
fn compared(gate: &Gate, mine: &GateForm) -> Conflict {
    let theirs = GateForm::of(gate);
    let mut conflict = Conflict::new(&gate.details.name, format!("{}/edit", gate.href()), gate.version);
    for field in FORM {
        conflict.field(field.name, field.label, &(field.of)(&theirs), &(field.of)(mine));
    }
    conflict.list("decisions", "Decisions", &theirs.decisions, &mine.decisions);
    conflict
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct Version {
    version: Option<i64>,
}

async fn remove(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, gate)): Path<(i64, i64)>,
    Form(form): Form<Version>,
) -> Result<Response> {
    only_planners(&visit)?;
    let snapshot = GateSnapshot::load(&app, id).await?;
    let gate = snapshot.find(gate)?.clone();
    let (actor, now, name) = (visit.user.actor(), snapshot.now, gate.details.name.clone());
    let gate = Gate { version: form.version.ok_or_else(in_pieces)?, ..gate };
    let write = app.db.write(move |tx| Box::pin(async move { store::remove(tx, actor, &gate, now).await }));
    if !write.await? {
        return Err(Error::BadRequest(
            "Someone changed this gate in the meantime, so it is still there. Open it again before you remove it."
                .to_owned(),
        ));
    }
    Ok(flash::redirect(&href(id), &format!("Removed: {name}. Its readings stay in the history.")))
}
