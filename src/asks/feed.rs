//! The calendars that apps fetch regularly: a person's and an event's.

use super::sender::{Sender, Senders};
use super::sending::Parties;
use super::{calendar, store};
use crate::accounts::dead_link;
use crate::db::journal;
use crate::error::Result;
use crate::events::{self, Event};
use crate::mail;
use crate::people::{self, Person};
use crate::state::App;
use crate::web::client::Client;
use crate::web::limits::Limit;
use crate::web::link::Secret;
use crate::web::path::Path;
use crate::web::routes::get;
use axum::Router;
use axum::extract::State;
use axum::http::header;
use axum::response::{IntoResponse, Response};
use std::collections::HashMap;

pub(super) fn router() -> Router<App> {
    Router::new().route("/calendar/{secret}", get(feed)).route("/event-calendar/{secret}", get(feed))
}

/// A calendar file. Its address holds a secret that no other page may learn.
pub(super) fn ics(file: String) -> Response {
    ([(header::CONTENT_TYPE, "text/calendar; charset=utf-8"), (header::REFERRER_POLICY, "no-referrer")], file)
        .into_response()
}

async fn feed(State(app): State<App>, Client(client): Client, Path(secret): Path<String>) -> Result<Response> {
    if let Err(too_often) = app.limits.take(Limit::LinkAddress, &client) {
        return Ok(too_often.into_response());
    }
    let db = app.db.read();
    let of = match Secret::read(&secret) {
        Some(secret) => store::opened_feed(db, &secret).await?,
        None => None,
    };
    match of {
        Some(store::FeedOf::Event(id)) => match events::find(db, id).await? {
            Some(event) => Ok(ics(of_event(&app, &event).await?)),
            None => dead_link(&app).await,
        },
        Some(store::FeedOf::Person(id)) => {
            let person = people::find(&mut *db.acquire().await?, id).await?;
            match person {
                Some(person) => Ok(ics(of_person(&app, &person).await?)),
                None => dead_link(&app).await,
            }
        }
        None => dead_link(&app).await,
    }
}

/// The event's own dates.
async fn of_event(app: &App, event: &Event) -> Result<String> {
    let sender = Sender::officer(app.db.read()).await?;
    let told = journal::of(app.db.read(), "event", event.id).await?;
    let changed = told.first().map_or(event.details.burn_on.midnight().assume_utc(), |change| change.at);
    Ok(calendar::of_event(event, &sender, &app.link_key, changed))
}

/// Everything someone said yes to, in every event.
async fn of_person(app: &App, person: &Person) -> Result<String> {
    let events = events::list(app.db.read()).await?;
    let events: HashMap<i64, &Event> = events.iter().map(|event| (event.id, event)).collect();
    let senders = Senders::load(&mut *app.db.read().acquire().await?).await?;
    let mut entries = Vec::new();
    for request in store::of_person(app.db.read(), person.id).await? {
        let Some(event) = events.get(&request.event_id) else { continue };
        let sender = senders.named(request.asked_by);
        entries.extend(calendar::standing(event, &request, Parties { sender: &sender, person, key: &app.link_key }));
    }
    Ok(mail::ics::feed(&senders.named(None).department, &entries))
}
