//! The page of one loan.

mod around;
mod facts;
mod shown;
mod steps;

use super::loan::Loan;
use super::page::{found, page};
use super::snapshot::LoanSnapshot;
use super::update_form::StepForm;
use crate::accounts::{SignedIn, Visit};
use crate::error::Result;
use crate::state::App;
use crate::web::form::Mistakes;
use crate::web::page::show_as;
use crate::web::path::Path;
use crate::web::routes::get;
use around::Around;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum::{Extension, Router};

pub use around::ReadHeat;
use shown::LoanPage;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/loans/{loan}", get(loan_page))
}

async fn loan_page(
    State(app): State<App>,
    Extension(heat): Extension<ReadHeat>,
    SignedIn(visit): SignedIn,
    Path((id, loan)): Path<(i64, i64)>,
) -> Result<Response> {
    let (snapshot, loan) = found(&app, id, loan, app.clock.now()).await?;
    let form = StepForm::fresh(&snapshot, &visit.user.name);
    view(&app, &visit, (&snapshot, &loan), heat, (form, Mistakes::default())).await
}

/// The page, with what was typed in the form of an update.
pub(super) async fn view(
    app: &App,
    visit: &Visit,
    (snapshot, loan): (&LoanSnapshot, &Loan),
    heat: ReadHeat,
    (form, mistakes): (StepForm, Mistakes),
) -> Result<Response> {
    let status = if mistakes.is_empty() { StatusCode::OK } else { StatusCode::UNPROCESSABLE_ENTITY };
    let page = page(app, visit, &snapshot.event, &loan.details.what).await?;
    let around = Around::load(app, visit, &snapshot.event, loan, heat).await?;
    show_as(status, &LoanPage::of(page, visit, (snapshot, loan), around, (form, mistakes)))
}
