//! The audit of all pairs, on paper.

use super::drawn::{LayoutSnapshot, Said, moved};
use super::page::{page, snapshot};
use super::pair_lines::{Group, OrphanLine, groups, orphans};
use super::snapshot::RoomSnapshot;
use super::warning_lines::WarningLine;
use super::{Kind, ThingState};
use crate::accounts::SignedIn;
use crate::error::Result;
use crate::state::App;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::get;
use crate::web::words::Reader;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use std::collections::BTreeMap;
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/rooms/audit", get(audit))
}

#[derive(Template)]
#[template(path = "rooms/audit.html")]
struct AuditPage {
    page: Page,
    department: String,
    event_line: String,
    printed: String,
    sentence: String,
    built: String,
    status: String,
    tolerance: String,
    orphans: Vec<OrphanLine>,
    groups: Vec<Group>,
    parts: Vec<Group>,
    parts_alone: Vec<OrphanLine>,
    /// The items that aren't in place yet, by status.
    missing: Vec<(&'static str, String)>,
    /// What is drawn elsewhere in the other room.
    moved: Vec<Said>,
    warnings: Vec<WarningLine>,
}

async fn audit(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let now = app.clock.now();
    let rooms = snapshot(&app, id).await?;
    let page = page(&app, &visit, &rooms.event, "Pair audit", now).await?;
    // One connection at a time: whoever holds one must not wait for another.
    let layout = LayoutSnapshot::load(&mut *app.db.read().acquire().await?, rooms).await?;
    show(&AuditPage::of(page, &layout, now))
}

impl AuditPage {
    fn of(page: Page, layout: &LayoutSnapshot, now: OffsetDateTime) -> Self {
        let rooms = &layout.rooms;
        let today = rooms.today(now);
        Self {
            department: page.department.clone(),
            event_line: page
                .event
                .as_ref()
                .map(|banner| format!("{} · {}", banner.name, banner.line))
                .unwrap_or_default(),
            page,
            printed: Reader::App.moment(rooms.event.details.zone.wall(now)),
            sentence: rooms.sentence(),
            built: rooms.built(),
            status: rooms.stands(),
            tolerance: rooms.tolerance(),
            missing: missing(rooms),
            moved: moved(layout),
            warnings: WarningLine::all(rooms, today),
            orphans: orphans(rooms, Kind::Furnishing, today),
            groups: groups(rooms, Kind::Furnishing),
            parts: groups(rooms, Kind::Part),
            parts_alone: orphans(rooms, Kind::Part, today),
        }
    }
}

/// "Sofa (A, B)", by status, without the items in place.
fn missing(snapshot: &RoomSnapshot) -> Vec<(&'static str, String)> {
    let states = [ThingState::Wanted, ThingState::Promised, ThingState::Here];
    let of_state = |state: ThingState| {
        let mut named: BTreeMap<String, Vec<&str>> = BTreeMap::new();
        for thing in snapshot.things.iter().filter(|thing| snapshot.state(thing) == state && thing.details.quantity > 0)
        {
            named.entry(thing.details.says()).or_default().push(thing.details.room.letter());
        }
        let one = |(what, mut rooms): (String, Vec<&str>)| {
            rooms.sort_unstable();
            rooms.dedup();
            format!("{what} ({})", rooms.join(", "))
        };
        (state.label(), named.into_iter().map(one).collect::<Vec<_>>().join(", "))
    };
    states.into_iter().map(of_state).filter(|(_, things)| !things.is_empty()).collect()
}
