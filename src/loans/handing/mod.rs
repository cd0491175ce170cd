//! Pickup and return: the same checklist both times, photos, two names.

mod form;
pub(in crate::loans) mod store;
mod views;

use super::snapshot::LoanSnapshot;
use super::{Loan, Step, routes};
use crate::accounts::{SignedIn, Visit, Worker};
use crate::error::Result;
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
use form::{HandingForm, Wrong};
use std::collections::BTreeMap;
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/loans/{loan}/pickup", get(hand_over))
        .route("/events/{id}/loans/{loan}/return", get(give_back))
        .route("/events/{id}/loans/{loan}/condition", get(condition))
}

/// The forms that take photos.
pub(super) fn files_router() -> Router<App> {
    Router::new()
        .route("/events/{id}/loans/{loan}/pickup", post(handed_over))
        .route("/events/{id}/loans/{loan}/return", post(given_back))
}

/// Why a pickup or a return can't be recorded now.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Refused {
    NotLent,
    HandedOver,
    NotHere,
    Back,
}

impl Refused {
    /// As a page marks it.
    fn as_str(self) -> &'static str {
        match self {
            Self::NotLent => "not-lent",
            Self::HandedOver => "handed-over",
            Self::NotHere => "not-here",
            Self::Back => "back",
        }
    }

    fn says(self) -> &'static str {
        match self {
            Self::NotLent => "This loan fell through. If it is on again, undo that update first.",
            Self::HandedOver => "The pickup is already recorded.",
            Self::NotHere => "We don't have it yet. Record the pickup first.",
            Self::Back => "The return is already recorded.",
        }
    }
}

/// Why this can't be recorded now: the pickup comes first, then the return.
fn refused(loan: &Loan, is_return: bool) -> Option<Refused> {
    match (is_return, loan.record(false), loan.record(true)) {
        _ if loan.has(Step::NotLent) => Some(Refused::NotLent),
        (false, Some(_), _) => Some(Refused::HandedOver),
        (true, None, _) => Some(Refused::NotHere),
        (true, _, Some(_)) => Some(Refused::Back),
        _ => None,
    }
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
    let (snapshot, loan) = routes::found(&app, id, loan, now).await?;
    let form = HandingForm::fresh(&snapshot, &loan, is_return, &visit.user.name, now);
    show(&view(&app, &visit, (&snapshot, &loan), form, Wrong::default()).await?)
}

async fn view(
    app: &App,
    visit: &Visit,
    (snapshot, loan): (&LoanSnapshot, &Loan),
    form: HandingForm,
    wrong: Wrong,
) -> Result<views::HandingPage> {
    let title = if form.is_return { "Record return" } else { "Record pickup" };
    let page = routes::page(app, visit, &snapshot.event, title).await?.under(loan.href(), loan.title());
    Ok(views::HandingPage::of(page, loan, &form, wrong))
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
    let (snapshot, loan) = routes::found(&app, id, loan, now).await?;
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
    (record, photos): (store::Record, Vec<(usize, Taken)>),
    now: OffsetDateTime,
) -> Result<bool> {
    let by = visit.user.account_id;
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let stands = super::store::find(tx, loan.event_id, loan.id).await?;
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
    let (snapshot, loan) = routes::found(&app, id, loan, app.clock.now()).await?;
    let page = routes::page(&app, &visit, &snapshot.event, "Condition record").await?.under(loan.href(), loan.title());
    let may_work = visit.user.role != crate::accounts::Role::Reader;
    show(&views::ConditionPage::of(page, &snapshot, &loan, may_work))
}
