//! The rooms, pair by pair, and the page of each item.

use super::snapshot::RoomSnapshot;
use super::views::{self, Index, ThingPage, WarningLine};
use super::{Kind, ThingState, store, template};
use crate::accounts::{Officer, SignedIn, Visit, Worker};
use crate::db::journal;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::photos::Posted;
use crate::state::App;
use crate::web::flash;
use crate::web::form::Form;
use crate::web::history::HistoryLine;
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/rooms", get(index))
        .route("/events/{id}/rooms/template", post(start))
        .route("/events/{id}/rooms/items/{thing}", get(thing_page))
        .route("/events/{id}/rooms/items/{thing}/state", post(set_state))
}

pub(super) fn files_router() -> Router<App> {
    Router::new().route("/events/{id}/rooms/items/{thing}/photo", post(set_photo))
}

pub(super) async fn event(app: &App, id: i64) -> Result<Event> {
    events::find(app.db.read(), id).await?.ok_or(Error::NotFound)
}

pub(super) async fn snapshot(app: &App, id: i64) -> Result<RoomSnapshot> {
    let event = event(app, id).await?;
    RoomSnapshot::load(&mut *app.db.read().acquire().await?, &event).await
}

pub(super) async fn page(app: &App, visit: &Visit, event: &Event, title: &str, now: OffsetDateTime) -> Result<Page> {
    Ok(events::page(app, visit, Some(event), now).await?.titled(title))
}

async fn index(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = snapshot(&app, id).await?;
    let today = snapshot.today(now);
    show(&Index {
        page: page(&app, &visit, &snapshot.event, "Rooms", now).await?,
        event_id: id,
        is_empty: snapshot.things.is_empty(),
        fair: snapshot.verdict(Kind::Furnishing),
        sentence: snapshot.sentence(),
        placed: snapshot.placed(),
        status: snapshot.stands(),
        tolerance: views::tolerance(&snapshot),
        orphans: views::orphans(&snapshot, Kind::Furnishing, today),
        groups: views::groups(&snapshot, Kind::Furnishing),
        parts: snapshot.verdict(Kind::Part),
        uncounted: snapshot.uncounted(),
        built: snapshot.built(),
        undecided: snapshot.undecided_items(),
    })
}

/// Fills both rooms as a living room, if they are empty.
async fn start(State(app): State<App>, Officer(visit): Officer, Path(id): Path<i64>) -> Result<Response> {
    let now = app.clock.now();
    event(&app, id).await?;
    let actor = visit.user.actor();
    let fill = app.db.write(move |tx| {
        Box::pin(async move {
            if !store::of_event(tx, id).await?.is_empty() {
                return Ok(false);
            }
            for details in template::things() {
                store::add(tx, actor, id, &details, now).await?;
            }
            Ok(true)
        })
    });
    let said = if fill.await? {
        "Both rooms now list a typical living room. Edit what is different in yours."
    } else {
        "Nothing was added. The rooms already have items."
    };
    Ok(flash::redirect(&format!("/events/{id}/rooms"), said))
}

async fn thing_page(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path((id, thing)): Path<(i64, i64)>,
) -> Result<Response> {
    show(&thing_view(&app, &visit, (id, thing), "").await?)
}

/// `wrong` says why a photo was refused; empty if none was.
async fn thing_view(app: &App, visit: &Visit, (id, thing): (i64, i64), wrong: &str) -> Result<ThingPage> {
    let now = app.clock.now();
    let snapshot = snapshot(app, id).await?;
    let thing = snapshot.find(thing).ok_or(Error::NotFound)?.clone();
    let history = journal::of(app.db.read(), "thing", thing.id).await?;
    let today = snapshot.today(now);
    let about = |line: &WarningLine| line.things.iter().any(|(_, href)| *href == thing.href());
    let state = snapshot.state(&thing);
    let title = words::capital(&thing.details.says());
    Ok(ThingPage {
        page: page(app, visit, &snapshot.event, &title, now).await?,
        event_id: id,
        state,
        facts: views::facts(&thing),
        gift: snapshot.gift(&thing).map(|gift| {
            let stands = gift.details.status.state();
            (gift.href(), format!("{}, {}: {stands}", gift.details.what.says(), gift.giver_in_full()))
        }),
        matches: views::matches(&snapshot, &thing),
        warnings: WarningLine::all(&snapshot, today).into_iter().filter(about).collect(),
        works: visit.user.works(),
        states: ThingState::ALL.into_iter().filter(|other| *other != state).collect(),
        wrong: wrong.to_owned(),
        history: history.into_iter().map(|entry| HistoryLine::of(entry, &snapshot.event.details.zone)).collect(),
        title,
        thing,
    })
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct StateForm {
    state: String,
    version: i64,
}

async fn set_state(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, thing)): Path<(i64, i64)>,
    Form(form): Form<StateForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let found = store::find(&mut *app.db.read().acquire().await?, id, thing).await?.ok_or(Error::NotFound)?;
    let state: ThingState = form.state.parse().map_err(Error::BadRequest)?;
    let (actor, href) = (visit.user.actor(), found.href());
    let details = super::Details { state, ..found.details };
    let write = app.db.write(move |tx| {
        Box::pin(async move { store::save(tx, actor, (id, thing), &details, form.version, now).await })
    });
    let said = if write.await? {
        format!("Saved as {}.", state.label())
    } else {
        "Nothing was saved. Someone else just changed this item. Check it and try again.".to_owned()
    };
    Ok(flash::redirect(&href, &said))
}

#[derive(Debug, Clone, Deserialize, Default)]
#[serde(default)]
struct PhotoForm {
    act: String,
    version: i64,
}

async fn set_photo(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, thing)): Path<(i64, i64)>,
    posted: std::result::Result<Posted<PhotoForm>, Response>,
) -> Result<Response> {
    let now = app.clock.now();
    let found = store::find(&mut *app.db.read().acquire().await?, id, thing).await?.ok_or(Error::NotFound)?;
    let Posted(form, pictures) = match posted {
        Ok(posted) => posted,
        Err(answer) => return Ok(answer),
    };
    let taken = match (pictures.of("photo"), form.act.as_str()) {
        (_, "remove") => None,
        (Some(Ok(taken)), _) => Some(taken.clone()),
        (Some(Err(why)), _) => {
            let page = thing_view(&app, &visit, (id, thing), why).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
        (None, _) => {
            let page = thing_view(&app, &visit, (id, thing), "Choose a photo first.").await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (actor, said) = (visit.user.actor(), if taken.is_some() { "Photo saved." } else { "Photo removed." });
    let write = app.db.write(move |tx| {
        Box::pin(async move { store::set_photo(tx, actor, (id, thing), (taken.as_ref(), form.version), now).await })
    });
    let changed = "Nothing was saved. Someone else just changed this item. Check it and try again.";
    Ok(flash::redirect(&found.href(), if write.await? { said } else { changed }))
}
