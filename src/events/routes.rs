//! The list of events, and choosing the current one.

use super::{Event, page, store};
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
use axum::response::{IntoResponse, Redirect, Response};

/// The list of events. Planning and editing an event belong to the countdown, which
/// knows what a change does.
pub fn router() -> Router<App> {
    Router::new().route("/", get(start)).route("/events", get(index)).route("/events/{id}/current", post(make_current))
}

async fn start(State(app): State<App>, SignedIn(_): SignedIn) -> Result<Response> {
    let to = store::current(app.db.read()).await?.map_or_else(|| "/events".to_owned(), |event| event.href());
    Ok(Redirect::to(&to).into_response())
}

#[derive(Template)]
#[template(path = "events/index.html")]
struct Index {
    page: Page,
    events: Vec<Line>,
}

struct Line {
    id: i64,
    name: String,
    when: String,
    is_current: bool,
}

async fn index(State(app): State<App>, SignedIn(visit): SignedIn) -> Result<Response> {
    let now = app.clock.now();
    let events = store::list(app.db.read()).await?;
    let line = |event: Event| Line {
        id: event.id,
        when: event.details.line(event.today(now)),
        name: event.details.name,
        is_current: event.is_current,
    };
    let page = page(&app, &visit, None, now).await?.titled("Events");
    show(&Index { page, events: events.into_iter().map(line).collect() })
}

async fn make_current(State(app): State<App>, Officer(visit): Officer, Path(id): Path<i64>) -> Result<Response> {
    let now = app.clock.now();
    let event = store::found(app.db.read(), id).await?;
    let (actor, made) = (visit.user.actor(), event.clone());
    app.db.write(move |tx| Box::pin(async move { store::make_current(tx, actor, &made, now).await })).await?;
    Ok(flash::redirect(&event.href(), &format!("{} is now the current event.", event.details.name)))
}
