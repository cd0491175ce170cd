//! Recording a reply by hand, and withdrawing a question.

use super::answer_form::{AnswerForm, RecordForm};
use super::pressing::{self, Press};
use super::request_page::RequestPage;
use super::{Confirm, Given, Request, Sender, Sending, answer, found, take_back};
use crate::accounts::{Officer, Visit, Worker};
use crate::error::{Error, Result};
use crate::events::Event;
use crate::state::App;
use crate::web::flash;
use crate::web::form::Three;
use crate::web::page::show_as;
use crate::web::path::Path;
use crate::web::routes::post;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/replies/{request}/answers", post(record))
        .route("/events/{id}/replies/{request}/withdraw", post(withdraw))
}

async fn record(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, request)): Path<(i64, i64)>,
    Three(press, recorded, form): Three<Press, RecordForm, AnswerForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (event, request) = found::question(&app, id, request).await?;
    if request.kind.takes_offer() {
        return Err(Error::BadRequest(found::BY_ROOMS.to_owned()));
    }
    if !press.say.is_empty() {
        return pressing::press(&app, &visit, (event, request), &press, now).await;
    }
    let (ask, given) = match recorded.read(&form, request.kind) {
        Ok(read) => read,
        Err(mistakes) => {
            let mut page = RequestPage::load(&app, &visit, &event, request, now).await?;
            (page.recorded, page.form, page.mistakes) = (recorded, form, mistakes);
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let here = format!("/events/{id}/replies/{}", request.id);
    let is_saved = save(&app, &visit, (event, request), (ask, given), now).await?;
    let said = if is_saved { "Reply saved. If email reaches them, they get a confirmation." } else { found::NOT_SAVED };
    Ok(flash::redirect(&here, said))
}

/// Saves an answer and confirms it in writing. False if the question or its date is gone.
async fn save(
    app: &App,
    visit: &Visit,
    (event, request): (Event, Request),
    (ask, given): (i64, Given),
    now: OffsetDateTime,
) -> Result<bool> {
    let sender = Sender::of(app.db.read(), &visit.user).await?;
    let (actor, key) = (visit.user.actor(), app.link_key.clone());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let confirm = Confirm::InWriting(&sender, &key);
            answer(tx, actor, (&event, &request), (ask, &given), confirm, now).await
        })
    });
    write.await
}

async fn withdraw(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, request)): Path<(i64, i64)>,
) -> Result<Response> {
    let now = app.clock.now();
    let number = found::question(&app, id, request).await?.1.id;
    let sender = Sender::of(app.db.read(), &visit.user).await?;
    let (actor, key) = (visit.user.actor(), app.link_key.clone());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let sending = Sending { actor, sender: &sender, key: &key, now };
            take_back(tx, (id, number), sending).await
        })
    });
    write.await?;
    Ok(flash::redirect(
        &format!("/events/{id}/replies/{number}"),
        "Question withdrawn. Its link now says so, and anyone who may be counting on it gets an email.",
    ))
}
