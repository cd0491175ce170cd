//! The page of one record.

use super::facts::{Fact, facts, read_back};
use super::holds::{Holds, holds};
use super::problem_line::{ProblemLine, problem_lines};
use super::records::{Records, Seen, may_read_back};
use super::sending_form::SendingForm;
use crate::accounts::{SignedIn, Visit};
use crate::db::journal;
use crate::error::Result;
use crate::permit_records::{Permit, Sending};
use crate::state::App;
use crate::web::form::Mistakes;
use crate::web::history::HistoryLine;
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::get;
use crate::web::words::{self, Reader};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/permits/{permit}", get(permit_page))
}

/// A time it was sent.
struct SentLine {
    id: i64,
    says: String,
    beneath: String,
    is_received: bool,
}

#[derive(Template)]
#[template(path = "permits/permit.html")]
struct PermitPage {
    page: Page,
    permit: Permit,
    facts: Vec<Fact>,
    /// The task it goes out with: number and title.
    task: Option<(i64, String)>,
    problems: Vec<ProblemLine>,
    holds: Option<Holds>,
    sent: Vec<SentLine>,
    form: SendingForm,
    mistakes: Mistakes,
    burn_day: String,
    burn_on: String,
    rain_day: String,
    rain_on: String,
    today: String,
    read_back: String,
    /// May the reader record what was sent?
    may_send: bool,
    /// May they record that the conditions were read back?
    may_read_back: bool,
    history: Vec<HistoryLine>,
}

async fn permit_page(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path((id, permit)): Path<(i64, i64)>,
) -> Result<Response> {
    let records = Records::load(&app, id).await?;
    let form = SendingForm::fresh(&records.event, records.today);
    show(&page_of(&app, &visit, &records, permit, form).await?)
}

/// The page of one record, with what was typed about a sending.
async fn page_of(app: &App, visit: &Visit, records: &Records, id: i64, form: SendingForm) -> Result<PermitPage> {
    let permit = records.find(id)?;
    let seen = records.seen();
    let details = &records.event.details;
    let history = journal::of(app.db.read(), "permit", id).await?;
    let history = if visit.user.sees_people() { history } else { Vec::new() };
    Ok(PermitPage {
        page: records.page(app, visit, &permit.details.title).await?,
        facts: facts(&seen, &visit.user, permit),
        task: seen.task(permit).map(|task| (task.id, task.details.title.clone())),
        problems: problem_lines(&seen, permit, &seen.problems(permit)),
        holds: holds(&seen, permit),
        sent: sent_lines(&seen, permit),
        form,
        mistakes: Mistakes::default(),
        burn_day: seen.days(&[details.burn_on]),
        burn_on: words::iso(details.burn_on),
        rain_day: details.rain_on.map(|on| seen.days(&[on])).unwrap_or_default(),
        rain_on: details.rain_on.map(words::iso).unwrap_or_default(),
        today: words::iso(records.today),
        read_back: read_back(&seen, permit),
        may_send: records.may_send(permit, &visit.user),
        may_read_back: may_read_back(&visit.user),
        history: app.history.lines(history, &details.zone),
        permit: permit.clone(),
    })
}

/// The page again, with what was typed about a sending and what is wrong.
pub(super) async fn show_again(
    app: &App,
    visit: &Visit,
    records: &Records,
    id: i64,
    form: SendingForm,
    mistakes: Mistakes,
) -> Result<Response> {
    let page = PermitPage { mistakes, ..page_of(app, visit, records, id, form).await? };
    show_as(StatusCode::UNPROCESSABLE_ENTITY, &page)
}

fn sent_lines(seen: &Seen<'_>, permit: &Permit) -> Vec<SentLine> {
    let line = |sending: &Sending| {
        let names = if sending.names.is_empty() {
            "no dates on it".to_owned()
        } else {
            format!("dates on it: {}", seen.days(&sending.names))
        };
        let received = sending.received_on.map(|on| format!("received {}", seen.near(on)));
        let facts = format!("{}, {}", Reader::App.time(sending.burn_time), sending.site);
        SentLine {
            id: sending.id,
            says: format!("Sent {}", seen.near(sending.sent_on)),
            beneath: [Some(names), received, Some(facts)].into_iter().flatten().collect::<Vec<_>>().join(" · "),
            is_received: sending.received_on.is_some(),
        }
    };
    permit.sendings.iter().rev().map(line).collect()
}
