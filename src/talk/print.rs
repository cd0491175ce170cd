//! The talk on paper: a script in large type.

use super::page::under;
use super::parts::ShownPart;
use super::snapshot::TalkSnapshot;
use super::{cue_cards, parts};
use crate::accounts::SignedIn;
use crate::error::Result;
use crate::fire;
use crate::state::App;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::get;
use crate::web::words::Reader;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/burn-day/talk/script", get(script))
        .route("/events/{id}/burn-day/talk/cue-cards", get(cue_cards::cards))
}

#[derive(Template)]
#[template(path = "talk/script.html")]
struct Script {
    page: Page,
    event_line: String,
    printed: String,
    decides: &'static str,
    has_clock: bool,
    parts: Vec<ShownPart>,
    branches: Vec<ShownPart>,
}

async fn script(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = TalkSnapshot::load(&app, id).await?;
    let page = under(&app, &visit, &snapshot.event, "Script").await?;
    let (parts, branches) = parts::parts(&snapshot);
    let spoken = |part: &ShownPart| !part.lines.is_empty() && part.state != "unused";
    show(&Script {
        event_line: page.event.as_ref().map(|banner| format!("{} · {}", banner.name, banner.line)).unwrap_or_default(),
        printed: Reader::App.moment(snapshot.event.details.zone.wall(now)),
        decides: fire::DECIDES,
        has_clock: snapshot.fires().is_some(),
        parts: parts.into_iter().filter(spoken).collect(),
        branches: branches.into_iter().filter(spoken).collect(),
        page,
    })
}
