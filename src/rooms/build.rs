//! Building parts, as they are bought or cut.

use super::page::{page, snapshot};
use super::pair_lines::{Group, OrphanLine, groups, orphans};
use super::snapshot::RoomSnapshot;
use super::verdict::Verdict;
use super::{Kind, Room};
use crate::accounts::SignedIn;
use crate::calc::pairs::folded;
use crate::error::Result;
use crate::state::App;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::get;
use crate::web::words;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use std::collections::BTreeMap;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/rooms/build", get(build))
}

#[derive(Template)]
#[template(path = "rooms/build.html")]
struct BuildPage {
    page: Page,
    event_id: i64,
    parts: Verdict,
    uncounted: usize,
    built: String,
    spare: u32,
    lines: Vec<BuildLine>,
    groups: Vec<Group>,
    orphans: Vec<OrphanLine>,
}

/// One part as it is bought or cut.
#[derive(Debug, PartialEq, Eq)]
struct BuildLine {
    what: String,
    described: String,
    things: Vec<(&'static str, String)>,
    a: u32,
    b: u32,
    /// With the extra, rounded up; 0 until there is a count.
    total: u32,
}

/// Parts with the same description together, as on an order.
fn build_lines(snapshot: &RoomSnapshot) -> Vec<BuildLine> {
    let mut lines: BTreeMap<(String, String), BuildLine> = BTreeMap::new();
    let mut parts: Vec<_> = snapshot.things.iter().filter(|thing| thing.details.kind == Kind::Part).collect();
    parts.sort_by_key(|thing| (thing.details.room, thing.id));
    for thing in parts {
        let details = &thing.details;
        let described = details.described();
        let line = lines.entry((folded(&details.what), folded(&described))).or_insert_with(|| BuildLine {
            what: words::capital(&details.what),
            described,
            things: Vec::new(),
            a: 0,
            b: 0,
            total: 0,
        });
        line.things.push((details.room.letter(), thing.href()));
        match details.room {
            Room::A => line.a += details.quantity,
            Room::B => line.b += details.quantity,
        }
    }
    let with_spare = |mut line: BuildLine| {
        line.total = ((line.a + line.b) * (100 + snapshot.settings.spare)).div_ceil(100);
        line
    };
    lines.into_values().map(with_spare).collect()
}

async fn build(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = snapshot(&app, id).await?;
    show(&BuildPage {
        page: page(&app, &visit, &snapshot.event, "Building parts", now).await?,
        event_id: id,
        parts: snapshot.verdict(Kind::Part),
        uncounted: snapshot.uncounted(),
        built: snapshot.built(),
        spare: snapshot.settings.spare,
        lines: build_lines(&snapshot),
        groups: groups(&snapshot, Kind::Part),
        orphans: orphans(&snapshot, Kind::Part, snapshot.today(now)),
    })
}
