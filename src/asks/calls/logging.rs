//! Saving that someone was called and got a message. It is no answer: the question stays
//! open, and the call comes back the next day.

use super::store;
use crate::accounts::Worker;
use crate::asks::Request;
use crate::asks::found::{self, back_to};
use crate::asks::request_page::RequestPage;
use crate::error::{Error, Result};
use crate::people;
use crate::state::App;
use crate::web::flash::{self, Undo};
use crate::web::form::{self, Form, Mistakes};
use crate::web::page::show_as;
use crate::web::path::Path;
use crate::web::routes::post;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;
use time::OffsetDateTime;

/// What the button says.
const LEFT: &str = "left a message";
const UNDO: &str = "undo";

const GONE: &str = "Nothing changed. The message was already removed.";

pub(in crate::asks) fn router() -> Router<App> {
    Router::new().route("/events/{id}/replies/{request}/calls", post(log))
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct CallForm {
    did: String,
    left_note: String,
    /// The message to remove.
    message: i64,
    back: String,
}

async fn log(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, request)): Path<(i64, i64)>,
    Form(form): Form<CallForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (event, request) = found::question(&app, id, request).await?;
    let (by, to) = (visit.user.account_id, back_to(&form.back, id, request.id));
    if form.did == UNDO {
        let remove =
            app.db.write(move |tx| Box::pin(async move { store::remove(tx, by, &request, form.message, now).await }));
        let said = if remove.await? { "The message is removed. The call is due again." } else { GONE };
        return Ok(flash::redirect(&to, said));
    }
    if form.did != LEFT {
        return Err(Error::BadRequest("Choose one of the buttons.".to_owned()));
    }
    let mut mistakes = Mistakes::default();
    let Some(note) = mistakes.note("left_note", form::optional_line(&form.left_note, 200)) else {
        let mut page = RequestPage::load(&app, &visit, &event, request, now).await?;
        (page.left_note, page.mistakes) = (form.left_note, mistakes);
        return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
    };
    let action = format!("/events/{id}/replies/{}/calls", request.id);
    let (message, who) = add(&app, by, request, note, now).await?;
    let fields = [("did", UNDO.to_owned()), ("message", message.to_string()), ("back", form.back)];
    let undo = Undo { action, fields: fields.map(|(name, value)| (name.to_owned(), value)).into() };
    let said = format!("Saved: you left a message for {who}. The call is listed last today, and is due tomorrow.");
    Ok(flash::redirect_with_undo(&to, &said, &undo))
}

/// Saves the message. Returns its number and the name of whoever was called.
async fn add(app: &App, by: i64, request: Request, note: String, now: OffsetDateTime) -> Result<(i64, String)> {
    let person = people::find(&mut *app.db.read().acquire().await?, request.person_id).await?;
    let add = app.db.write(move |tx| Box::pin(async move { store::add(tx, by, &request, &note, now).await }));
    Ok((add.await?, found::name(person.as_ref()).to_owned()))
}
