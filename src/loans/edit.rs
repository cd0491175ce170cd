//! Adding and editing a loan.

mod conflict;
mod edit_page;
mod ready;
mod saving;

use super::form::LoanForm;
use super::loan::Loan;
use super::page::{found, page};
use super::snapshot::LoanSnapshot;
use super::unlisted::unlisted;
use crate::accounts::{Officer, Visit};
use crate::error::Result;
use crate::people::choosing::WithPerson;
use crate::state::App;
use crate::web::conflict as conflicts;
use crate::web::flash;
use crate::web::page::{show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum_extra::extract::Query;
use conflict::both_versions;
use edit_page::edit_page;
use ready::ready;
use saving::{Added, Saved};
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/loans/new", get(new).merge(post(create)))
        .route("/events/{id}/loans/{loan}/edit", get(edit).merge(post(change)))
}

async fn refuse(
    app: &App,
    visit: &Visit,
    of: (&LoanSnapshot, Option<&Loan>),
    sent: WithPerson<LoanForm>,
) -> Result<Response> {
    show_as(StatusCode::UNPROCESSABLE_ENTITY, &edit_page(app, visit, of, sent).await?)
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct From {
    person: String,
    /// A request they said yes to.
    request: i64,
}

async fn new(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Query(from): Query<From>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = LoanSnapshot::of(&app, id, now).await?;
    let mut form = LoanForm::fresh(&from.person);
    if let Some(said) = unlisted(&app, &snapshot, now).await?.into_iter().find(|one| one.request_id == from.request) {
        let what: String = said.note.lines().next().unwrap_or_default().chars().take(100).collect();
        form = form.with("lender", said.person_id.to_string()).with("what", what);
        form.request = said.request_id;
    }
    show(&edit_page(&app, &visit, (&snapshot, None), WithPerson::fresh(form)).await?)
}

async fn create(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    sent: WithPerson<LoanForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = LoanSnapshot::of(&app, id, now).await?;
    if sent.find.is_looking() {
        return show(&edit_page(&app, &visit, (&snapshot, None), sent).await?);
    }
    let ready = match ready(&app, &sent, (&snapshot, None)).await? {
        Ok(ready) => ready,
        Err(mistakes) => return refuse(&app, &visit, (&snapshot, None), sent.refused(mistakes)).await,
    };
    let (actor, request) = (visit.user.actor(), sent.form.request);
    let reply = unlisted(&app, &snapshot, now).await?.into_iter().find(|one| one.request_id == request);
    let add = app.db.write(move |tx| Box::pin(async move { saving::add(tx, actor, id, ready, reply, now).await }));
    match add.await? {
        Added::Done { loan, said } => Ok(flash::redirect(&format!("/events/{id}/loans/{loan}"), &said)),
        Added::Unsure(known) => refuse(&app, &visit, (&snapshot, None), sent.unsure(known)).await,
    }
}

async fn edit(State(app): State<App>, Officer(visit): Officer, Path((id, loan)): Path<(i64, i64)>) -> Result<Response> {
    let (snapshot, loan) = found(&app, id, loan, app.clock.now()).await?;
    let form = LoanForm::of(&loan, &snapshot.event);
    show(&edit_page(&app, &visit, (&snapshot, Some(&loan)), WithPerson::fresh(form)).await?)
}

async fn change(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, loan)): Path<(i64, i64)>,
    sent: WithPerson<LoanForm>,
) -> Result<Response> {
    let (snapshot, loan) = found(&app, id, loan, app.clock.now()).await?;
    if sent.find.is_looking() {
        return show(&edit_page(&app, &visit, (&snapshot, Some(&loan)), sent).await?);
    }
    let ready = match ready(&app, &sent, (&snapshot, Some(&loan))).await? {
        Ok(ready) => ready,
        Err(mistakes) => return refuse(&app, &visit, (&snapshot, Some(&loan)), sent.refused(mistakes)).await,
    };
    let lender = ready.lender.clone();
    match saving::change(&app, visit.user.actor(), (&snapshot, &loan), ready, sent.form.version).await? {
        Saved::Done(said) => Ok(flash::redirect(&loan.href(), &said)),
        Saved::Unsure(known) => refuse(&app, &visit, (&snapshot, Some(&loan)), sent.unsure(known)).await,
        Saved::Stale => {
            let (snapshot, stands) = found(&app, id, loan.id, app.clock.now()).await?;
            let page = page(&app, &visit, &snapshot.event, "Edited by two people").await?;
            conflicts::show(page, &both_versions(&app, (&snapshot, &stands), &sent, &lender).await?)
        }
    }
}
