//! Recording that a permit or notice was sent, that it arrived, and that its conditions
//! were read back.

use super::form::{SendingForm, past};
use super::routes::{Records, may_read_back, page_of};
use crate::accounts::{Visit, Worker};
use crate::error::{Error, Result};
use crate::permit_records::{self, Permit, Refused, Sending};
use crate::state::App;
use crate::web::flash::{self, Undo};
use crate::web::form::{Form, Mistakes};
use crate::web::page::show_as;
use crate::web::path::Path;
use crate::web::routes::post;
use crate::web::words;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/permits/{permit}/sendings", post(send))
        .route("/events/{id}/permits/{permit}/sendings/{sending}/received", post(receive))
        .route("/events/{id}/permits/{permit}/sendings/{sending}/remove", post(take_back))
        .route("/events/{id}/permits/{permit}/read-back", post(read_back))
}

const NOT_YOURS: Error =
    Error::Forbidden("Only the education officer and whoever has its task can record what was sent. Ask one of them.");
const NOT_HEARD: Error = Error::Forbidden(
    "Only the safety officer and the education officer can record that conditions were read back. Ask one of them.",
);
const ALREADY: &str = "That was already saved. Nothing changed.";

/// The records, and the one with that number if this user may record what was sent.
async fn sendable(app: &App, visit: &Visit, event_id: i64, permit: i64) -> Result<(Records, Permit)> {
    let records = Records::load(app, event_id).await?;
    let permit = records.find(permit)?.clone();
    if records.may_send(&permit, &visit.user) { Ok((records, permit)) } else { Err(NOT_YOURS) }
}

async fn again(
    app: &App,
    visit: &Visit,
    records: &Records,
    permit: i64,
    typed: (SendingForm, Mistakes),
) -> Result<Response> {
    let page = page_of(app, visit, records, permit, typed).await?;
    show_as(StatusCode::UNPROCESSABLE_ENTITY, &page)
}

async fn send(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, permit)): Path<(i64, i64)>,
    Form(form): Form<SendingForm>,
) -> Result<Response> {
    let (records, permit) = sendable(&app, &visit, id, permit).await?;
    let sending = match form.read(permit.details.kind, &records.event, records.today) {
        Ok(sending) => sending,
        Err(mistakes) => return again(&app, &visit, &records, permit.id, (form, mistakes)).await,
    };
    let (actor, now, which) = (visit.user.actor(), records.now, (id, permit.id));
    let add = app
        .db
        .write(move |tx| Box::pin(async move { permit_records::add_sending(tx, actor, which, &sending, now).await }));
    match add.await? {
        Ok(sending) => {
            let undo = Undo { action: format!("{}/sendings/{sending}/remove", permit.href()), fields: Vec::new() };
            let said = format!("Saved: “{}” was sent.", permit.details.title);
            Ok(flash::redirect_with_undo(&permit.href(), &said, &undo))
        }
        Err(Refused::Already) => Ok(flash::redirect(&permit.href(), ALREADY)),
        Err(Refused::Full) => {
            let mut mistakes = Mistakes::default();
            mistakes.add("sent_on", "This page can't hold any more. Remove one under “Sent” first.");
            again(&app, &visit, &records, permit.id, (form, mistakes)).await
        }
        Err(Refused::Gone | Refused::Stale) => Err(Error::NotFound),
    }
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct DayForm {
    /// The day; empty takes it back.
    on: String,
    version: i64,
}

async fn receive(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, permit, sending)): Path<(i64, i64, i64)>,
    Form(form): Form<DayForm>,
) -> Result<Response> {
    let (records, permit) = sendable(&app, &visit, id, permit).await?;
    let old = permit.sendings.iter().find(|known| known.id == sending).ok_or(Error::NotFound)?.clone();
    let on = match super::form::optional(&form.on, |text| past(text, records.today)) {
        Ok(Some(on)) if on < old.sent_on => Err("This is before the day it was sent.".to_owned()),
        read => read,
    };
    let on = match on {
        Ok(on) => on,
        Err(wrong) => {
            let mut mistakes = Mistakes::default();
            mistakes.add("on", wrong);
            let fresh = SendingForm::fresh(&records.event, records.today);
            return again(&app, &visit, &records, permit.id, (fresh, mistakes)).await;
        }
    };
    let (actor, now, which) = (visit.user.actor(), records.now, (id, permit.id, sending));
    let note =
        app.db.write(move |tx| Box::pin(async move { permit_records::receive(tx, actor, which, on, now).await }));
    match note.await? {
        Ok(()) => {
            let fields = vec![("on".to_owned(), old.received_on.map(words::iso).unwrap_or_default())];
            let undo = Undo { action: format!("{}/sendings/{sending}/received", permit.href()), fields };
            Ok(flash::redirect_with_undo(&permit.href(), "Saved: the day it was received.", &undo))
        }
        Err(Refused::Already) => Ok(flash::redirect(&permit.href(), ALREADY)),
        Err(_) => Err(Error::NotFound),
    }
}

/// The Undo that restores a removed sending.
fn send_again(permit: &Permit, sending: &Sending) -> Undo {
    let field = |name: &str, value: String| (name.to_owned(), value);
    let mut fields = vec![
        field("sent_on", words::iso(sending.sent_on)),
        field("received_on", sending.received_on.map(words::iso).unwrap_or_default()),
        field("site", sending.site.clone()),
        field("burn_time", words::iso_time(sending.burn_time)),
    ];
    let names = sending.names.iter().map(|day| words::iso(*day));
    fields.extend(["burn_day", "rain_date", "other_on"].into_iter().zip(names).map(|(name, day)| field(name, day)));
    Undo { action: format!("{}/sendings", permit.href()), fields }
}

async fn take_back(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, permit, sending)): Path<(i64, i64, i64)>,
) -> Result<Response> {
    let (records, permit) = sendable(&app, &visit, id, permit).await?;
    let (actor, now, which) = (visit.user.actor(), records.now, (id, permit.id, sending));
    let remove =
        app.db.write(move |tx| Box::pin(async move { permit_records::remove_sending(tx, actor, which, now).await }));
    match remove.await? {
        Ok(old) => {
            let said = "Removed: nothing was sent that day.";
            Ok(flash::redirect_with_undo(&permit.href(), said, &send_again(&permit, &old)))
        }
        Err(_) => Ok(flash::redirect(&permit.href(), ALREADY)),
    }
}

async fn read_back(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, permit)): Path<(i64, i64)>,
    Form(form): Form<DayForm>,
) -> Result<Response> {
    let records = Records::load(&app, id).await?;
    let permit = records.find(permit)?.clone();
    if !may_read_back(&visit.user) {
        return Err(NOT_HEARD);
    }
    let mut mistakes = Mistakes::default();
    let on = mistakes.note("read_back_on", super::form::optional(&form.on, |text| past(text, records.today)));
    if on.flatten().is_some() && permit.details.conditions.is_empty() {
        mistakes.add("read_back_on", "There are no conditions yet. The education officer enters them first.");
    }
    let Some(on) = on.filter(|_| mistakes.is_empty()) else {
        let fresh = SendingForm::fresh(&records.event, records.today);
        return again(&app, &visit, &records, permit.id, (fresh, mistakes)).await;
    };
    let (account, now, which, version) = (visit.user.account_id, records.now, (id, permit.id), form.version);
    let note = app.db.write(move |tx| {
        Box::pin(async move { permit_records::read_back(tx, account, which, on, version, now).await })
    });
    let said = match note.await? {
        Ok(()) => {
            let was = permit.read_back.as_ref().map(|(on, _)| words::iso(*on)).unwrap_or_default();
            let fields = vec![("on".to_owned(), was), ("version".to_owned(), permit.version.to_string())];
            let undo = Undo { action: format!("{}/read-back", permit.href()), fields };
            let said = if on.is_some() { "Saved: the conditions were read back." } else { "Saved: not read back yet." };
            return Ok(flash::redirect_with_undo(&permit.href(), said, &undo));
        }
        Err(Refused::Already) => ALREADY,
        Err(Refused::Stale) => {
            "Someone changed this in the meantime. Nothing was saved: read the conditions as they are now."
        }
        Err(_) => return Err(Error::NotFound),
    };
    Ok(flash::redirect(&permit.href(), said))
}
