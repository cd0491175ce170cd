//! The rooms, pair by pair.

use super::page::{event, page, snapshot};
use super::pair_lines::{Group, OrphanLine, groups, orphans};
use super::verdict::{Placed, Verdict};
use super::{Kind, store, template};
use crate::accounts::{Officer, SignedIn};
use crate::error::Result;
use crate::state::App;
use crate::web::flash;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/rooms", get(index)).route("/events/{id}/rooms/template", post(start))
}

#[derive(Template)]
#[template(path = "rooms/index.html")]
struct Index {
    page: Page,
    event_id: i64,
    is_empty: bool,
    fair: Verdict,
    sentence: String,
    placed: Placed,
    status: String,
    tolerance: String,
    orphans: Vec<OrphanLine>,
    groups: Vec<Group>,
    parts: Verdict,
    uncounted: usize,
    built: String,
    /// The types of items.
    undecided: Vec<String>,
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
        tolerance: snapshot.tolerance(),
        orphans: orphans(&snapshot, Kind::Furnishing, today),
        groups: groups(&snapshot, Kind::Furnishing),
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
