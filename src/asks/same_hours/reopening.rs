//! Opening withdrawn questions again.

use super::known::{has_heard, note_as_known};
use super::overlap::replaced_by;
use crate::accounts::Officer;
use crate::asks::found::{self, back_to};
use crate::asks::{Known, Request, Sender, Sending, Statement, changes, deputy, noted, store};
use crate::db::Tx;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::mail;
use crate::state::App;
use crate::web::flash;
use crate::web::form::Form;
use crate::web::path::Path;
use crate::web::routes::post;
use crate::web::words;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/replies/reopen", post(reopen))
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct Reopen {
    request: Vec<i64>,
    back: String,
}

async fn reopen(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Form(form): Form<Reopen>,
) -> Result<Response> {
    let now = app.clock.now();
    found::event(&app, id).await?;
    let sender = Sender::of(app.db.read(), &visit.user).await?;
    let (actor, key) = (visit.user.actor(), app.link_key.clone());
    let to = match form.request.as_slice() {
        [one] => back_to(&form.back, id, *one),
        _ => format!("/events/{id}/replies"),
    };
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let sending = Sending { actor, sender: &sender, key: &key, now };
            reopen_all(tx, id, &form.request, sending).await
        })
    });
    let (opened, replaced) = write.await?;
    Ok(flash::redirect(&to, &reopened(opened, replaced)))
}

/// Opens these questions again, and counts those it opened and those it didn't because a
/// newer one took their place.
async fn reopen_all(tx: &mut Tx, event_id: i64, ids: &[i64], sending: Sending<'_>) -> Result<(usize, usize)> {
    let event = events::find_in(tx, event_id).await?.ok_or(Error::NotFound)?;
    let (mut opened, mut replaced) = (0, 0);
    for id in ids {
        let request = store::of_request_in(tx, *id).await?;
        let Some(request) = request.filter(|request| request.event_id == event_id) else { continue };
        let requests = store::to_person(tx, event_id, request.person_id).await?;
        if request.is_withdrawn && replaced_by(&request, &requests).is_some() {
            replaced += 1;
            continue;
        }
        opened += usize::from(open_again(tx, (&event, &request), sending).await?);
    }
    Ok((opened, replaced))
}

/// What reopening did, for the message at the top of the next page.
fn reopened(opened: usize, replaced: usize) -> String {
    let mut said = Vec::new();
    if opened > 0 {
        said.push(format!("{} open again.", words::count(opened, "question is", "questions are")));
    }
    if replaced > 0 {
        let stay = words::count(replaced, "question stays", "questions stay");
        said.push(format!("{stay} withdrawn, because a newer question asks the same. Withdraw the newer one first."));
    }
    if said.is_empty() {
        said.push("Nothing changed. The questions are open already.".to_owned());
    }
    said.join(" ")
}

/// Opens a withdrawn question again. Someone who never got it is asked. Someone who was told
/// that it is withdrawn is listed until told otherwise. False if it is open.
async fn open_again(tx: &mut Tx, (event, request): (&Event, &Request), sending: Sending<'_>) -> Result<bool> {
    let Sending { actor, key, now, .. } = sending;
    if !store::reopen(tx, actor, request, now).await? {
        return Ok(false);
    }
    deputy::tell(tx, event, request, key, now).await?;
    let called_off = format!("withdrawn/{}/", request.id);
    mail::cancel_by_key(tx, &called_off, "The question is open again.", now).await?;
    if !has_heard(tx, request).await? {
        let Some(request) = store::of_request_in(tx, request.id).await? else { return Ok(true) };
        let known = Known { request, statement: Statement::default(), is_assumed: false };
        changes::write_to(tx, &known, (event, false), sending).await?;
        return Ok(true);
    }
    let known = noted::statement_of(tx, request.id).await?.unwrap_or_default();
    if known.dates.is_empty() && !mail::may_have_gone(tx, &called_off).await? {
        note_as_known(tx, actor, (event, request.id), known, now).await?;
    }
    Ok(true)
}
