//! Recording that a permit or notice was sent, and that it arrived.

use super::fields::{ALREADY, DayForm, optional, past};
use super::page::show_again;
use super::records::Records;
use super::sending_form::SendingForm;
use crate::accounts::{Visit, Worker};
use crate::error::{Error, Result};
use crate::permit_records::{self, Permit, Refused, Sending};
use crate::state::App;
use crate::web::flash::{self, Undo};
use crate::web::form::{Form, Mistakes};
use crate::web::path::Path;
use crate::web::routes::post;
use crate::web::words;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use time::Date;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/permits/{permit}/sendings", post(send))
        .route("/events/{id}/permits/{permit}/sendings/{sending}/received", post(receive))
        .route("/events/{id}/permits/{permit}/sendings/{sending}/remove", post(take_back))
}

const NOT_YOURS: Error =
    Error::Forbidden("Only the education officer and whoever has its task can record what was sent. Ask one of them.");

/// The records, and the one with that number if this user may record what was sent.
async fn sendable(app: &App, visit: &Visit, event_id: i64, permit: i64) -> Result<(Records, Permit)> {
    let records = Records::load(app, event_id).await?;
    let permit = records.find(permit)?.clone();
    if records.may_send(&permit, &visit.user) { Ok((records, permit)) } else { Err(NOT_YOURS) }
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
        Err(mistakes) => return show_again(&app, &visit, &records, permit.id, form, mistakes).await,
    };
    let (actor, now, which) = (visit.user.actor(), records.now, permit.full_id());
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
            show_again(&app, &visit, &records, permit.id, form, mistakes).await
        }
        Err(Refused::Gone | Refused::Stale) => Err(Error::NotFound),
    }
}

async fn receive(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, permit, sending)): Path<(i64, i64, i64)>,
    Form(form): Form<DayForm>,
) -> Result<Response> {
    let (records, permit) = sendable(&app, &visit, id, permit).await?;
    let old = permit.sendings.iter().find(|known| known.id == sending).ok_or(Error::NotFound)?.clone();
    let on = match received(&form, &old, records.today) {
        Ok(on) => on,
        Err(mistakes) => {
            let fresh = SendingForm::fresh(&records.event, records.today);
            return show_again(&app, &visit, &records, permit.id, fresh, mistakes).await;
        }
    };
    let (actor, now, which) = (visit.user.actor(), records.now, permit.full_id());
    let note = app
        .db
        .write(move |tx| Box::pin(async move { permit_records::receive(tx, actor, which, sending, on, now).await }));
    match note.await? {
        Ok(()) => Ok(flash::redirect_with_undo(
            &permit.href(),
            "Saved: the day it was received.",
            &received_before(&permit, &old),
        )),
        Err(Refused::Already) => Ok(flash::redirect(&permit.href(), ALREADY)),
        Err(_) => Err(Error::NotFound),
    }
}

/// The day it was received, if one was typed; it can't be before the day it was sent.
fn received(form: &DayForm, sending: &Sending, today: Date) -> Result<Option<Date>, Mistakes> {
    let mut mistakes = Mistakes::default();
    let on = match optional(&form.on, |text| past(text, today)) {
        Ok(Some(on)) if on < sending.sent_on => Err("This is before the day it was sent.".to_owned()),
        read => read,
    };
    mistakes.note("on", on).ok_or(mistakes)
}

/// The Undo that restores the day it was received before.
fn received_before(permit: &Permit, old: &Sending) -> Undo {
    let fields = vec![("on".to_owned(), old.received_on.map(words::iso).unwrap_or_default())];
    Undo { action: format!("{}/sendings/{}/received", permit.href(), old.id), fields }
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
    let (actor, now, which) = (visit.user.actor(), records.now, permit.full_id());
    let remove = app
        .db
        .write(move |tx| Box::pin(async move { permit_records::remove_sending(tx, actor, which, sending, now).await }));
    match remove.await? {
        Ok(old) => {
            let said = "Removed: nothing was sent that day.";
            Ok(flash::redirect_with_undo(&permit.href(), said, &send_again(&permit, &old)))
        }
        Err(_) => Ok(flash::redirect(&permit.href(), ALREADY)),
    }
}
