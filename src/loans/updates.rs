//! Recording what happened to a loan, and undoing it.

use super::loan::Loan;
use super::loan_page::{ReadHeat, view};
use super::page::found;
use super::store::{self, Noted};
use super::update_form::StepForm;
use crate::accounts::Worker;
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::{Error, Result};
use crate::state::App;
use crate::web::flash;
use crate::web::form::Form;
use crate::web::path::Path;
use crate::web::routes::post;
use axum::extract::State;
use axum::response::Response;
use axum::{Extension, Router};
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/loans/{loan}/steps", post(happened))
        .route("/events/{id}/loans/{loan}/steps/{step}/back", post(take_back))
}

async fn happened(
    State(app): State<App>,
    Extension(heat): Extension<ReadHeat>,
    Worker(visit): Worker,
    Path((id, loan)): Path<(i64, i64)>,
    Form(form): Form<StepForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (snapshot, loan) = found(&app, id, loan, now).await?;
    let noted = match form.read(&snapshot, &loan) {
        Ok(noted) => noted,
        Err(mistakes) => return view(&app, &visit, (&snapshot, &loan), heat, (form, mistakes)).await,
    };
    let (by, href) = (visit.user.account_id, loan.href());
    let said = format!("Saved: {}.", noted.step.label());
    let write = app.db.write(move |tx| Box::pin(async move { note_once(tx, by, &loan, &noted, now).await }));
    let stale = "Nothing was saved. Someone updated this loan a moment ago. Check it and try again.";
    Ok(flash::redirect(&href, if write.await? { &said } else { stale }))
}

/// Sent twice, or by two people at once, it is saved once.
async fn note_once(tx: &mut Tx, by: i64, seen: &Loan, noted: &Noted, now: OffsetDateTime) -> Result<bool> {
    let stands = store::find(tx, seen.event_id, seen.id).await?;
    let Some(loan) = stands.filter(|stands| stands.steps == seen.steps) else { return Ok(false) };
    store::note(tx, by, &loan, noted, now).await?;
    Ok(true)
}

async fn take_back(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, loan, step)): Path<(i64, i64, i64)>,
) -> Result<Response> {
    let now = app.clock.now();
    let (_, loan) = found(&app, id, loan, now).await?;
    let (actor, href) = (visit.user.actor(), loan.href());
    let write = app.db.write(move |tx| Box::pin(async move { undo(tx, actor, (&loan, step), now).await }));
    Ok(flash::redirect(&href, write.await?))
}

/// Undoes an update if it is the latest one, which another may be since the page was read.
async fn undo(tx: &mut Tx, actor: Actor, (seen, step): (&Loan, i64), now: OffsetDateTime) -> Result<&'static str> {
    let loan = store::find(tx, seen.event_id, seen.id).await?.ok_or(Error::NotFound)?;
    let wanted = loan.steps.iter().find(|happened| happened.id == step).ok_or(Error::NotFound)?;
    if wanted.is_taken_back {
        return Ok("Someone already undid this.");
    }
    if loan.happened().next_back() != Some(wanted) {
        return Ok("Nothing was changed. You can undo only the latest update.");
    }
    store::take_back(tx, actor, &loan, wanted, now).await?;
    Ok("Undone.")
}
