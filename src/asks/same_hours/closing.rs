//! Closing the other open questions for the same hours.

use super::known::{has_heard, note_as_known};
use super::overlap::others;
use crate::accounts::Officer;
use crate::asks::found::{self, back_to};
use crate::asks::{Known, Request, Statement, noted, store};
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::people;
use crate::state::App;
use crate::web::flash::{self, Undo};
use crate::web::form::Form;
use crate::web::path::Path;
use crate::web::routes::post;
use crate::web::words;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use serde::Deserialize;
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/replies/{request}/close-others", post(close_others))
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct Back {
    back: String,
}

async fn close_others(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, request)): Path<(i64, i64)>,
    Form(form): Form<Back>,
) -> Result<Response> {
    let now = app.clock.now();
    let (_, request) = found::question(&app, id, request).await?;
    let person = people::find(&mut *app.db.read().acquire().await?, request.person_id).await?;
    let who = found::name(person.as_ref());
    let (actor, to) = (visit.user.actor(), back_to(&form.back, id, request.id));
    let close = app.db.write(move |tx| Box::pin(async move { close_in(tx, actor, (id, request.id), now).await }));
    let (closed, outdated) = close.await?;
    let stays = match outdated {
        0 => String::new(),
        many => {
            let stay = words::count(many, "question stays", "questions stay");
            format!(" {stay} open, because {who} has out-of-date details. Update them first.")
        }
    };
    if closed.is_empty() {
        let said = format!("Nothing to close: there are no other open questions for the same hours.{stays}");
        return Ok(flash::redirect(&format!("/events/{id}/replies"), &said));
    }
    let count = words::count(closed.len(), "other question", "other questions");
    let said = format!("Closed {count} to {who} for the same hours. No one gets an email about that.{stays}");
    let mut fields: Vec<(String, String)> = vec![("back".to_owned(), form.back)];
    fields.extend(closed.iter().map(|id| ("request".to_owned(), id.to_string())));
    let undo = Undo { action: format!("/events/{id}/replies/reopen"), fields };
    Ok(flash::redirect_with_undo(&to, &said, &undo))
}

/// Closes the other questions, as they are by now. Returns the numbers of those closed, and
/// how many stay open because the person has out-of-date details.
async fn close_in(
    tx: &mut Tx,
    actor: Actor,
    (event_id, request): (i64, i64),
    now: OffsetDateTime,
) -> Result<(Vec<i64>, usize)> {
    let event = events::find_in(tx, event_id).await?.ok_or(Error::NotFound)?;
    let Some(by) = store::of_request_in(tx, request).await? else { return Ok((Vec::new(), 0)) };
    let requests = store::to_person(tx, event_id, by.person_id).await?;
    let (mut closed, mut outdated) = (Vec::new(), 0);
    for other in others(&by, &requests) {
        if close(tx, actor, (&event, other), now).await? {
            closed.push(other.id);
        } else {
            outdated += 1;
        }
    }
    Ok((closed, outdated))
}

/// Withdraws a question without an email: "we no longer need you" would be wrong for someone
/// who just said yes to the same hours, and the question's link says that we no longer need
/// the answer. False if something else has changed that they don't know yet.
async fn close(tx: &mut Tx, actor: Actor, (event, request): (&Event, &Request), now: OffsetDateTime) -> Result<bool> {
    let noted = noted::statement_of(tx, request.id).await?;
    let known = Known::of(event, request.clone(), noted).statement;
    if known.is_outdated(&Statement::of(event, request)) || !store::withdraw(tx, actor, request, now).await? {
        return Ok(false);
    }
    if has_heard(tx, request).await? {
        note_as_known(tx, actor, (event, request.id), known, now).await?;
    }
    Ok(true)
}
