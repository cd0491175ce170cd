//! What the presenter holds: cue cards, and the sheet.

use super::card::{Card, all_cards};
use crate::accounts::SignedIn;
use crate::error::Result;
use crate::guests::program::times::Timed;
use crate::guests::program::{Following, ReadFollowing};
use crate::guests::{page, store};
use crate::state::App;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::get;
use crate::web::words::Reader;
use askama::Template;
use axum::extract::State;
use axum::response::Response;
use axum::{Extension, Router};

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/burn-day/cards", get(cards)).route("/events/{id}/burn-day/presenter", get(sheet))
}

#[derive(Template)]
#[template(path = "guests/cards.html")]
struct Cards {
    page: Page,
    cards: Vec<Card>,
}

async fn cards(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let snapshot = page::snapshot(&app, id).await?;
    let program = store::program(&mut *app.db.read().acquire().await?, id).await?;
    let cards = all_cards(&snapshot, &program.times(&snapshot, 0).lines);
    let page = page::page(&app, &visit, &snapshot.event, "Cue cards").await?;
    show(&Cards { page, cards })
}

#[derive(Template)]
#[template(path = "guests/sheet.html")]
struct Sheet {
    page: Page,
    event_line: String,
    printed: String,
    over: String,
    cards: Vec<Card>,
    lines: Vec<Timed>,
    following: Vec<Following>,
}

async fn sheet(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Extension(following): Extension<ReadFollowing>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = page::snapshot(&app, id).await?;
    let program = store::program(&mut *app.db.read().acquire().await?, id).await?;
    let times = program.times(&snapshot, 0);
    let page = page::page(&app, &visit, &snapshot.event, "Presenter's sheet").await?;
    let event_line = page.event.as_ref().map(|banner| format!("{} · {}", banner.name, banner.line));
    let over = times.over;
    show(&Sheet {
        page,
        event_line: event_line.unwrap_or_default(),
        printed: Reader::App.moment(snapshot.event.details.zone.wall(now)),
        over: if over > 0 { crate::calc::program::says(over) } else { String::new() },
        cards: all_cards(&snapshot, &times.lines),
        lines: times.lines,
        following: following(app.clone(), snapshot.event.clone()).await?,
    })
}
