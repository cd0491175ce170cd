//! Recording a pickup or a return, and both records side by side.

use super::condition_page::ConditionPage;
use super::form::{HandingForm, Wrong};
use super::handing_page::HandingPage;
use super::refused::refused;
use super::store;
use crate::accounts::{Role, SignedIn, Visit, Worker};
use crate::error::Result;
use crate::loans::loan::Loan;
use crate::loans::record::Record;
use crate::loans::snapshot::LoanSnapshot;
use crate::loans::{self, page};
use crate::photos::{Posted, Taken};
use crate::state::App;
use crate::web::flash;
use crate::web::page::{show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use axum::Router;
use axum::extract::{FromRequest, Request, State};
use axum::http::StatusCode;
use axum::response::Response;
use std::collections::BTreeMap;
use time::OffsetDateTime;

pub(in crate::loans) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/loans/{loan}/pickup", get(hand_over))
        .route("/events/{id}/loans/{loan}/return", get(give_back))
        .route("/events/{id}/loans/{loan}/condition", get(condition))
}

/// The forms that take photos.
pub(in crate::loans) fn files_router() -> Router<App> {
    Router::new()
        .route("/events/{id}/loans/{loan}/pickup", post(handed_over))
        .route("/events/{id}/loans/{loan}/return", post(given_back))
}

async fn hand_over(state: State<App>, visit: Worker, path: Path<(i64, i64)>) -> Result<Response> {
    show_page(state, visit, path, false).await
}

async fn give_back(state: State<App>, visit: Worker, path: Path<(i64, i64)>) -> Result<Response> {
    show_page(state, visit, path, true).await
}

async fn show_page(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, loan)): Path<(i64, i64)>,
    is_return: bool,
) -> Result<Response> {
    let now = app.clock.now();
    let (snapshot, loan) = page::found(&app, id, loan, now).await?;
    let form = HandingForm::fresh(&snapshot, &loan, is_return, &visit.user.name, now);
    show(&view(&app, &visit, (&snapshot, &loan), form, Wrong::default()).await?)
}

async fn view(
    app: &App,
    visit: &Visit,
    (snapshot, loan): (&LoanSnapshot, &Loan),
    form: HandingForm,
    wrong: Wrong,
) -> Result<HandingPage> {
    let title = if form.is_return { "Record return" } else { "Record pickup" };
    let page = page::page(app, visit, &snapshot.event, title).await?.under(loan.href(), loan.title());
    Ok(HandingPage::of(page, loan, &form, wrong))
}

async fn handed_over(state: State<App>, visit: Worker, path: Path<(i64, i64)>, sent: Request) -> Result<Response> {
    record(state, visit, path, sent, false).await
}

async fn given_back(state: State<App>, visit: Worker, path: Path<(i64, i64)>, sent: Request) -> Result<Response> {
    record(state, visit, path, sent, true).await
}

async fn record(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, loan)): Path<(i64, i64)>,
    sent: Request,
    is_return: bool,
) -> Result<Response> {
    let now = app.clock.now();
    let (snapshot, loan) = page::found(&app, id, loan, now).await?;
    let Posted::<BTreeMap<String, String>>(fields, pictures) = match Posted::from_request(sent, &app).await {
        Ok(posted) => posted,
        Err(answer) => return Ok(answer),
    };
    let form = HandingForm::sent(is_return, fields, pictures);
    let (record, wrong) = form.read(&loan, snapshot.today);
    let Some(record) = record.filter(|_| wrong.is_empty() && refused(&loan, is_return).is_none()) else {
        let page = view(&app, &visit, (&snapshot, &loan), form, wrong).await?;
        return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
    };
    let kept = keep(&app, &visit, loan.clone(), (record, form.photos()), now).await?;
    let href = loan.href();
    let said = match (kept, is_return) {
        (false, _) => "Nothing was saved. Someone recorded it a moment ago.",
        (true, false) => "Pickup saved, with its condition record.",
        (true, true) => "Return saved, with its condition record.",
    };
    Ok(flash::redirect(&format!("{href}/condition"), said))
}

/// Saves the record unless someone else did in the meantime.
async fn keep(
    app: &App,
    visit: &Visit,
    loan: Loan,
    (record, photos): (Record, Vec<(usize, Taken)>),
    now: OffsetDateTime,
) -> Result<bool> {
    let by = visit.user.account_id;
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let stands = loans::find(tx, loan.event_id, loan.id).await?;
            let Some(loan) = stands.filter(|loan| refused(loan, record.is_return).is_none()) else { return Ok(false) };
            store::add(tx, by, &loan, (&record, &photos), now).await?;
            Ok(true)
        })
    });
    write.await
}

async fn condition(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path((id, loan)): Path<(i64, i64)>,
) -> Result<Response> {
    let (snapshot, loan) = page::found(&app, id, loan, app.clock.now()).await?;
    let page = page::page(&app, &visit, &snapshot.event, "Condition record").await?.under(loan.href(), loan.title());
    let may_work = visit.user.role != Role::Reader;
    show(&ConditionPage::of(page, &loan, may_work))
}
