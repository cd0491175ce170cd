//! Recording that the conditions were read back.

use super::fields::{ALREADY, DayForm, optional, past};
use super::page::show_again;
use super::records::{Records, may_read_back};
use super::sending_form::SendingForm;
use crate::accounts::Worker;
use crate::error::{Error, Result};
use crate::permit_records::{self, Permit, Refused};
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
    Router::new().route("/events/{id}/permits/{permit}/read-back", post(read_back))
}

const NOT_HEARD: Error = Error::Forbidden(
    "Only the safety officer and the education officer can record that conditions were read back. Ask one of them.",
);
const STALE: &str = "Someone changed this in the meantime. Nothing was saved: read the conditions as they are now.";

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
    let on = match read(&form, &permit, records.today) {
        Ok(on) => on,
        Err(mistakes) => {
            let fresh = SendingForm::fresh(&records.event, records.today);
            return show_again(&app, &visit, &records, permit.id, fresh, mistakes).await;
        }
    };
    let (account, now, which, version) = (visit.user.account_id, records.now, permit.full_id(), form.version);
    let note = app.db.write(move |tx| {
        Box::pin(async move { permit_records::read_back(tx, account, which, on, version, now).await })
    });
    match note.await? {
        Ok(()) => {
            let said = if on.is_some() { "Saved: the conditions were read back." } else { "Saved: not read back yet." };
            Ok(flash::redirect_with_undo(&permit.href(), said, &read_back_before(&permit)))
        }
        Err(Refused::Already) => Ok(flash::redirect(&permit.href(), ALREADY)),
        Err(Refused::Stale) => Ok(flash::redirect(&permit.href(), STALE)),
        Err(_) => Err(Error::NotFound),
    }
}

/// The day it was read back, if one was typed; there must be conditions to read.
fn read(form: &DayForm, permit: &Permit, today: Date) -> Result<Option<Date>, Mistakes> {
    let mut mistakes = Mistakes::default();
    let on = mistakes.note("read_back_on", optional(&form.on, |text| past(text, today)));
    if on.flatten().is_some() && permit.details.conditions.is_empty() {
        mistakes.add("read_back_on", "There are no conditions yet. The education officer enters them first.");
    }
    on.filter(|_| mistakes.is_empty()).ok_or(mistakes)
}

/// The Undo that restores the day it was read back before.
fn read_back_before(permit: &Permit) -> Undo {
    let was = permit.read_back.as_ref().map(|(on, _)| words::iso(*on)).unwrap_or_default();
    let fields = vec![("on".to_owned(), was), ("version".to_owned(), permit.version.to_string())];
    Undo { action: format!("{}/read-back", permit.href()), fields }
}
