//! Adding items, and matches for them.

use super::edit_page::{gifts_of, view};
use super::form::{BOTH, ThingForm};
use super::page::{event, found};
use super::snapshot::RoomSnapshot;
use super::{Details, Room, store};
use crate::accounts::Officer;
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::events::Event;
use crate::state::App;
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
        .route("/events/{id}/rooms/items/{thing}/copy", post(copy))
}

/// The most lines for two rooms, so that pairing them stays quick.
const MOST: usize = 400;

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
    let event = event(&app, id).await?;
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
    let event = event(&app, id).await?;
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

/// Adds a match to the other room, still to be found: as many as are missing there.
async fn copy(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, thing)): Path<(i64, i64)>,
) -> Result<Response> {
    let now = app.clock.now();
    found(&app, id, thing).await?;
    let event = event(&app, id).await?;
    let actor = visit.user.actor();
    let write = app.db.write(move |tx| Box::pin(async move { add_match(tx, actor, &event, thing, now).await }));
    Ok(match write.await? {
        Some((added, room)) => {
            let there = format!("/events/{id}/rooms/items/{added}");
            flash::redirect(&there, &format!("Added a match for {room}. It still has to be found."))
        }
        None => flash::redirect(&format!("/events/{id}/rooms"), "Nothing was added. It already has a match."),
    })
}

/// Returns the number of the new item and its room; none if nothing is missing there, so that
/// what is sent twice is added once.
async fn add_match(
    tx: &mut Tx,
    actor: Actor,
    event: &Event,
    thing: i64,
    now: OffsetDateTime,
) -> Result<Option<(i64, Room)>> {
    let snapshot = RoomSnapshot::load(tx, event).await?;
    let quantity = snapshot.orphans().filter(|orphan| orphan.thing.id == thing).map(|orphan| orphan.quantity).sum();
    let Some(thing) = snapshot.find(thing).filter(|_| quantity > 0) else { return Ok(None) };
    let details = Details { quantity, ..thing.details.like() };
    let added = store::add(tx, actor, event.id, &details, now).await?;
    Ok(Some((added, details.room)))
}
