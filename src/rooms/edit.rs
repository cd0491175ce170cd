//! Adding, editing, copying and removing items.

use super::form::{BOTH, FORM, ThingForm, is_a_thing};
use super::views::Edit;
use super::{Details, Room, Thing, ThingState, routes, store};
use crate::accounts::{Officer, Visit};
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::gifts::{self, Gift};
use crate::people;
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::form::{Form, Mistakes};
use crate::web::page::{show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum_extra::extract::Query;
use serde::Deserialize;
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/rooms/new", get(new).merge(post(create)))
        .route("/events/{id}/rooms/items/{thing}/edit", get(edit).merge(post(change)))
        .route("/events/{id}/rooms/items/{thing}/copy", post(copy))
        .route("/events/{id}/rooms/items/{thing}/remove", post(remove))
}

/// The most lines for two rooms, so that pairing them stays quick.
const MOST: usize = 400;

async fn found(app: &App, event_id: i64, id: i64) -> Result<(Event, Thing)> {
    let event = routes::event(app, event_id).await?;
    let thing = store::find(&mut *app.db.read().acquire().await?, event_id, id).await?;
    Ok((event, thing.ok_or(Error::NotFound)?))
}

async fn gifts_of(app: &App, event_id: i64) -> Result<Vec<Gift>> {
    gifts::of_event(&mut *app.db.read().acquire().await?, event_id).await
}

async fn view(
    app: &App,
    visit: &Visit,
    (event, thing): (&Event, Option<&Thing>),
    (form, mistakes): (ThingForm, Mistakes),
    now: OffsetDateTime,
) -> Result<Edit> {
    let heading = if thing.is_some() { "Edit item" } else { "Add an item" };
    let action = thing.map_or(format!("/events/{}/rooms/new", event.id), |thing| format!("{}/edit", thing.href()));
    let page = routes::page(app, visit, event, heading, now).await?;
    let gifts = gifts_of(app, event.id).await?;
    let words = |gift: &Gift| {
        let says = format!("{} · {} ({})", gift.details.what.says(), gift.giver(), gift.details.status.state());
        (gift.id.to_string(), says)
    };
    Ok(Edit {
        page: if let Some(thing) = thing { page.under(thing.href(), thing.details.says()) } else { page },
        heading,
        is_new: thing.is_none(),
        action,
        form,
        mistakes,
        gifts: gifts.iter().filter(|gift| is_a_thing(gift)).map(words).collect(),
        states: ThingState::ALL.map(|state| (state.as_str(), state.label())).to_vec(),
        names: people::list(app.db.read()).await?,
    })
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct Wanted {
    room: String,
    kind: String,
}

async fn new(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Query(wanted): Query<Wanted>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = routes::event(&app, id).await?;
    let form = ThingForm::fresh(&wanted.room, &wanted.kind);
    show(&view(&app, &visit, (&event, None), (form, Mistakes::default()), now).await?)
}

async fn create(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Form(form): Form<ThingForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = routes::event(&app, id).await?;
    let count = store::of_event(&mut *app.db.read().acquire().await?, id).await?.len();
    let read = form.read(&gifts_of(&app, id).await?).and_then(|details| fits(details, count));
    let details = match read {
        Ok(details) => details,
        Err(mistakes) => {
            let page = view(&app, &visit, (&event, None), (form, mistakes), now).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let rooms = form.rooms().unwrap_or_default();
    let said = format!("Added to {}: {}.", if rooms.len() == 1 { rooms[0].as_str() } else { BOTH }, details.says());
    let actor = visit.user.actor();
    let add = app.db.write(move |tx| {
        Box::pin(async move {
            for room in rooms {
                store::add(tx, actor, id, &Details { room, ..details.clone() }, now).await?;
            }
            Ok(())
        })
    });
    add.await?;
    Ok(flash::redirect(&format!("/events/{id}/rooms"), &said))
}

fn fits(details: Details, count: usize) -> Result<Details, Mistakes> {
    let mut mistakes = Mistakes::default();
    if count + Room::ALL.len() > MOST {
        mistakes.add("what", format!("The two rooms hold at most {MOST} lines. Put identical items on one line."));
        return Err(mistakes);
    }
    Ok(details)
}

async fn edit(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, thing)): Path<(i64, i64)>,
) -> Result<Response> {
    let now = app.clock.now();
    let (event, thing) = found(&app, id, thing).await?;
    let form = ThingForm::of(&thing);
    show(&view(&app, &visit, (&event, Some(&thing)), (form, Mistakes::default()), now).await?)
}

async fn change(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, thing)): Path<(i64, i64)>,
    Form(form): Form<ThingForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (event, thing) = found(&app, id, thing).await?;
    let read = if form.room == BOTH { None } else { Some(form.read(&gifts_of(&app, id).await?)) };
    let read = read.unwrap_or_else(|| {
        let mut mistakes = Mistakes::default();
        mistakes.add(
            "room",
            "Choose one room. To have this item in both, save it and then add a match for the other room.",
        );
        Err(mistakes)
    });
    let details = match read {
        Ok(details) => details,
        Err(mistakes) => {
            let page = view(&app, &visit, (&event, Some(&thing)), (form, mistakes), now).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (actor, version, which) = (visit.user.actor(), form.version, (id, thing.id));
    let write =
        app.db.write(move |tx| Box::pin(async move { store::save(tx, actor, which, &details, version, now).await }));
    if write.await? {
        return Ok(flash::redirect(&thing.href(), "Item saved."));
    }
    let (_, saved) = found(&app, id, thing.id).await?;
    conflict::show(events::page(&app, &visit, Some(&event), now).await?, &stale(&saved, &form))
}

fn stale(saved: &Thing, mine: &ThingForm) -> Conflict {
    let theirs = ThingForm::of(saved);
    let mut conflict = Conflict::new(&saved.details.says(), format!("{}/edit", saved.href()), saved.version);
    for field in FORM {
        let (theirs, mine) = ((field.of)(&theirs), (field.of)(mine));
        conflict.silent(field.name, mine);
        conflict.compare(field.label, shown(field.name, theirs), shown(field.name, mine));
    }
    conflict.list("hazard", "Fuel warnings", &theirs.hazard, &mine.hazard);
    conflict
}

/// What was typed or chosen in a field, as people read it.
fn shown<'a>(field: &str, text: &'a str) -> &'a str {
    let label: Option<&str> = match field {
        "state" => text.parse::<ThingState>().ok().map(ThingState::label),
        _ => None,
    };
    label.unwrap_or(text)
}

/// Adds a match to the other room, still to be found: as many as are missing there.
async fn copy(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, thing)): Path<(i64, i64)>,
) -> Result<Response> {
    let now = app.clock.now();
    found(&app, id, thing).await?;
    let event = routes::event(&app, id).await?;
    let actor = visit.user.actor();
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            // Sent twice, it is added once.
            let snapshot = super::snapshot::RoomSnapshot::load(tx, &event).await?;
            let quantity =
                snapshot.orphans().filter(|orphan| orphan.thing.id == thing).map(|orphan| orphan.quantity).sum();
            let details =
                snapshot.find(thing).filter(|_| quantity > 0).map(|thing| Details { quantity, ..thing.details.like() });
            match details {
                Some(details) => {
                    store::add(tx, actor, id, &details, now).await.map(|added| Some((added, details.room)))
                }
                None => Ok(None),
            }
        })
    });
    Ok(match write.await? {
        Some((added, room)) => {
            let there = format!("/events/{id}/rooms/items/{added}");
            flash::redirect(&there, &format!("Added a match for {room}. It still has to be found."))
        }
        None => flash::redirect(&format!("/events/{id}/rooms"), "Nothing was added. It already has a match."),
    })
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct Seen {
    version: i64,
}

async fn remove(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, thing)): Path<(i64, i64)>,
    Form(seen): Form<Seen>,
) -> Result<Response> {
    let now = app.clock.now();
    let (_, thing) = found(&app, id, thing).await?;
    let (actor, which) = (visit.user.actor(), (id, thing.id));
    let write =
        app.db.write(move |tx| Box::pin(async move { store::remove(tx, actor, which, seen.version, now).await }));
    if write.await? {
        let said = format!("Removed from {}: {}.", thing.details.room, thing.details.says());
        return Ok(flash::redirect(&format!("/events/{id}/rooms"), &said));
    }
    Ok(flash::redirect(
        &thing.href(),
        "Nothing was removed. Someone else just changed this item. Check it and try again.",
    ))
}
