//! The page of an item: its facts, its match, its status, and its photo.

use super::counts::grouped;
use super::grades::{aspect, aspects, grade, grade_mark};
use super::page::{found, page, snapshot};
use super::snapshot::{Paired, RoomSnapshot};
use super::warning_lines::WarningLine;
use super::{Details, Room, Thing, ThingState, store};
use crate::accounts::{SignedIn, Visit, Worker};
use crate::db::journal;
use crate::error::{Error, Result};
use crate::photos::Posted;
use crate::state::App;
use crate::web::flash;
use crate::web::form::Form;
use crate::web::history::HistoryLine;
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/rooms/items/{thing}", get(thing_page))
        .route("/events/{id}/rooms/items/{thing}/state", post(set_state))
}

/// The forms that take photos.
pub fn files_router() -> Router<App> {
    Router::new().route("/events/{id}/rooms/items/{thing}/photo", post(set_photo))
}

#[derive(Template)]
#[template(path = "rooms/thing.html")]
struct ThingPage {
    page: Page,
    event_id: i64,
    thing: Thing,
    title: String,
    state: ThingState,
    facts: Vec<(&'static str, String)>,
    /// The gift it comes from: its address, and its name.
    gift: Option<(String, String)>,
    /// Its matches in the other room.
    matches: Vec<MatchLine>,
    warnings: Vec<WarningLine>,
    works: bool,
    /// The statuses it can be set to.
    states: Vec<ThingState>,
    /// Why a photo was refused; empty if none was.
    wrong: String,
    history: Vec<HistoryLine>,
}

/// The lines of an item's page.
fn facts(thing: &Thing) -> Vec<(&'static str, String)> {
    let details = &thing.details;
    let count = if details.quantity == 0 { "not known yet".to_owned() } else { details.quantity.to_string() };
    let all = [
        ("Room", format!("{}, {}", details.room, details.room.has())),
        ("Kind", details.kind.to_string()),
        ("Quantity", count),
        ("Model", details.model.clone()),
        ("Material", details.material.clone()),
        ("Size", details.size.to_string()),
        ("Position", details.position.clone()),
        ("Condition", details.condition.clone()),
        ("Source", details.source.to_string()),
        ("Provided by", details.by_whom.clone()),
    ];
    all.into_iter().filter(|(_, text)| !text.is_empty()).collect()
}

/// An item's match in the other room, or that it has none.
#[derive(Debug)]
struct MatchLine {
    /// The grade, as a mark.
    grade: &'static str,
    quantity: u32,
    /// What differs, as marks.
    differs: String,
    says: String,
}

fn matches(snapshot: &RoomSnapshot, thing: &Thing) -> Vec<MatchLine> {
    let other = thing.details.room.other();
    let of_pair = |pair: Paired| {
        let mine = if thing.details.room == Room::A { pair.a } else { pair.b };
        if mine.id != thing.id {
            return None;
        }
        let differs: Vec<&str> = pair.differs.iter().map(|differs| aspect(*differs)).collect();
        let differs = if differs.is_empty() { String::new() } else { format!("; differs in {}", differs.join(", ")) };
        Some(MatchLine {
            grade: grade_mark(pair.grade),
            quantity: pair.quantity,
            differs: aspects(pair.differs),
            says: format!("{} in {other}: {}{differs}", grouped(pair.quantity), grade(pair.grade)),
        })
    };
    let alone = snapshot.orphans().filter(|orphan| orphan.thing.id == thing.id);
    let alone = alone.map(|orphan| MatchLine {
        grade: "none",
        quantity: orphan.quantity,
        differs: String::new(),
        says: format!("{} without a match in {other}", grouped(orphan.quantity)),
    });
    snapshot.pairs().filter_map(of_pair).chain(alone).collect()
}

async fn thing_page(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path((id, thing)): Path<(i64, i64)>,
) -> Result<Response> {
    show(&thing_view(&app, &visit, (id, thing)).await?)
}

async fn thing_view(app: &App, visit: &Visit, (id, thing): (i64, i64)) -> Result<ThingPage> {
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
        facts: facts(&thing),
        gift: snapshot.gift(&thing).map(|gift| {
            let stands = gift.details.status.state();
            (gift.href(), format!("{}, {}: {stands}", gift.details.what.says(), gift.giver_in_full()))
        }),
        matches: matches(&snapshot, &thing),
        warnings: WarningLine::all(&snapshot, today).into_iter().filter(about).collect(),
        works: visit.user.works(),
        states: ThingState::ALL.into_iter().filter(|other| *other != state).collect(),
        wrong: String::new(),
        history: app.history.lines(history, &snapshot.event.details.zone),
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
    let known = found(&app, id, thing).await?;
    let state: ThingState = form.state.parse().map_err(Error::BadRequest)?;
    let (actor, href) = (visit.user.actor(), known.href());
    let details = Details { state, ..known.details };
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
    let known = found(&app, id, thing).await?;
    let Posted(form, pictures) = match posted {
        Ok(posted) => posted,
        Err(answer) => return Ok(answer),
    };
    let taken = match (pictures.of("photo"), form.act.as_str()) {
        (_, "remove") => None,
        (Some(Ok(taken)), _) => Some(taken.clone()),
        (Some(Err(why)), _) => return wrong_file(&app, &visit, (id, thing), why).await,
        (None, _) => return wrong_file(&app, &visit, (id, thing), "Choose a photo first.").await,
    };
    let (actor, said) = (visit.user.actor(), if taken.is_some() { "Photo saved." } else { "Photo removed." });
    let write = app.db.write(move |tx| {
        Box::pin(async move { store::set_photo(tx, actor, (id, thing), (taken.as_ref(), form.version), now).await })
    });
    let changed = "Nothing was saved. Someone else just changed this item. Check it and try again.";
    Ok(flash::redirect(&known.href(), if write.await? { said } else { changed }))
}

async fn wrong_file(app: &App, visit: &Visit, which: (i64, i64), why: &str) -> Result<Response> {
    let page = thing_view(app, visit, which).await?;
    show_as(StatusCode::UNPROCESSABLE_ENTITY, &ThingPage { wrong: why.to_owned(), ..page })
}
