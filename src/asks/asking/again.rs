//! Asking people again whose dates are no longer the event's.

use crate::accounts::Officer;
use crate::asks::{Closings, ReadClosings, Sender, Sending, found, send_question, store};
use crate::db::Tx;
use crate::error::Result;
use crate::events::Event;
use crate::mail;
use crate::state::App;
use crate::web::flash;
use crate::web::form::Form;
use crate::web::path::Path;
use crate::web::routes::post;
use crate::web::words;
use axum::extract::State;
use axum::response::Response;
use axum::{Extension, Router};
use serde::Deserialize;

pub(in crate::asks) fn router() -> Router<App> {
    Router::new().route("/events/{id}/replies/again", post(again))
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct Again {
    request: Vec<i64>,
}

async fn again(
    State(app): State<App>,
    Extension(closings): Extension<ReadClosings>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Form(form): Form<Again>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = found::event(&app, id).await?;
    let sender = Sender::of(app.db.read(), &visit.user).await?;
    let (actor, key) = (visit.user.actor(), app.link_key.clone());
    let closings = closings(app.clone(), event.clone(), now).await?;
    let night = mail::night_note(&event.details.zone, now);
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let sending = Sending { actor, sender: &sender, key: &key, now };
            ask_again(tx, &event, &form.request, &closings, sending).await
        })
    });
    let said = match write.await? {
        0 => "No one was asked again. Either no one was checked, or everyone has already been asked about these dates."
            .to_owned(),
        asked => format!("{} asked again.{night}", words::count(asked, "person was", "people were")),
    };
    Ok(flash::redirect(&format!("/events/{id}/replies"), &said))
}

/// Asks these questions again for the event's dates, and counts those that it could.
async fn ask_again(
    tx: &mut Tx,
    event: &Event,
    questions: &[i64],
    closings: &Closings,
    sending: Sending<'_>,
) -> Result<usize> {
    let mut asked = 0;
    for question in questions {
        let request = store::of_request_in(tx, *question).await?;
        let Some(request) = request.filter(|request| request.event_id == event.id) else { continue };
        let closes_at = closings.last(request.kind, event, sending.now);
        let (actor, key) = (sending.actor, sending.key);
        if store::ask_again(tx, actor, event, request.id, closes_at, key, sending.now).await? {
            asked += 1;
            send_question(tx, (event, request.id), sending).await?;
        }
    }
    Ok(asked)
}
