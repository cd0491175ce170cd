//! Who has out-of-date details, and updating them.

use super::changes::{self, Outdated};
use super::statement::Change;
use super::{Request, Sender, Sending, noted, store};
use crate::accounts::{Officer, Private, User, Visit, Worker};
use crate::db::journal::Actor;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::people::Person;
use crate::state::App;
use crate::web::flash;
use crate::web::form::Form;
use crate::web::path::Path;
use crate::web::phone;
use crate::web::routes::post;
use crate::web::words;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use serde::Deserialize;
use std::collections::HashMap;
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/replies/tell", post(tell))
        .route("/events/{id}/replies/{request}/told", post(told))
}

/// A person to update, on one line.
#[derive(Debug)]
pub(super) struct TellLine {
    pub id: i64,
    pub who: String,
    pub phone: String,
    /// The link that calls them. May be empty.
    pub call: String,
    /// Which state of the facts these lines tell.
    pub as_of: String,
    /// "Burn day: Sat, Oct 16, 2027 (was Sat, Oct 9, 2027)".
    pub changes: Vec<String>,
    /// Email reaches them.
    pub is_reached: bool,
    /// The store is a copy, so they may know something newer.
    pub is_doubtful: bool,
}

/// The lines, by name, with phone numbers only for users who may see them.
pub(super) fn lines(event: &Event, outdated: &[Outdated], people: &HashMap<i64, Person>, user: &User) -> Vec<TellLine> {
    let line = |one: &Outdated| {
        let person = people.get(&one.request.person_id)?;
        let mut changes: Vec<String> = one.changes.iter().map(Change::says).collect();
        if one.is_doubtful {
            changes.push("restored from a copy: they may know something newer".to_owned());
        }
        let number = user.shown(Private::Contact, &person.details.phone);
        Some(TellLine {
            id: one.request.id,
            as_of: as_of(event, &one.request),
            who: person.details.name.clone(),
            call: phone::tel(&number).unwrap_or_default(),
            phone: number,
            changes,
            is_reached: person.has_mail(),
            is_doubtful: one.is_doubtful,
        })
    };
    let mut lines: Vec<TellLine> = outdated.iter().filter_map(line).collect();
    lines.sort_by(|a, b| (a.is_reached, &a.who, a.id).cmp(&(b.is_reached, &b.who, b.id)));
    lines
}

/// A mark that differs after any change to what someone is told.
fn as_of(event: &Event, request: &Request) -> String {
    format!("{}/{}", event.facts_revision, request.version)
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct Heard {
    as_of: String,
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct Chosen {
    request: Vec<i64>,
    /// `known` if nothing was sent that this copy of the store doesn't know of.
    act: String,
}

async fn tell(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Form(form): Form<Chosen>,
) -> Result<Response> {
    let now = app.clock.now();
    let said = if form.act == "known" {
        trust(&app, visit.user.actor(), id, now).await?;
        "Saved. What is recorded here counts as up to date.".to_owned()
    } else {
        match email(&app, &visit, id, form.request, now).await? {
            0 => "No email went out. Either no one was checked, or they already have these details.".to_owned(),
            many => format!("{} emailed.", words::count(many, "person was", "people were")),
        }
    };
    Ok(flash::redirect(&format!("/events/{id}/replies"), &said))
}

/// Counts what is recorded in a copy of the store as up to date.
async fn trust(app: &App, actor: Actor, event_id: i64, now: OffsetDateTime) -> Result<()> {
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let event = events::find_in(tx, event_id).await?.ok_or(Error::NotFound)?;
            noted::trust_statements(tx, actor, &event, now).await
        })
    });
    write.await
}

/// Emails the people chosen who need an update, and counts them.
async fn email(app: &App, visit: &Visit, event_id: i64, chosen: Vec<i64>, now: OffsetDateTime) -> Result<usize> {
    let sender = Sender::of(app.db.read(), &visit.user).await?;
    let (actor, key) = (visit.user.actor(), app.link_key.clone());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let event = events::find_in(tx, event_id).await?.ok_or(Error::NotFound)?;
            let sending = Sending { actor, sender: &sender, key: &key, now };
            changes::tell_chosen(tx, &event, &chosen, sending).await
        })
    });
    Ok(write.await?.written)
}

async fn told(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, request)): Path<(i64, i64)>,
    Form(heard): Form<Heard>,
) -> Result<Response> {
    let now = app.clock.now();
    let sender = Sender::of(app.db.read(), &visit.user).await?;
    let (actor, key) = (visit.user.actor(), app.link_key.clone());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            // As both are in this write: what they heard may already be old.
            let event = events::find_in(tx, id).await?.ok_or(Error::NotFound)?;
            let request = store::of_request_in(tx, request).await?.filter(|request| request.event_id == event.id);
            let request = request.ok_or(Error::NotFound)?;
            if heard.as_of != as_of(&event, &request) {
                return Ok(false);
            }
            let sending = Sending { actor, sender: &sender, key: &key, now };
            changes::told_by_voice(tx, (&event, request), sending).await?;
            Ok(true)
        })
    });
    let said = if write.await? {
        "Saved. They are up to date."
    } else {
        "Something changed while you were calling, so they stay on the list. See what changed, and call again."
    };
    Ok(flash::redirect(&format!("/events/{id}/replies"), said))
}
