use crate::accounts::SignedIn;
use crate::db::journal::{self, Told};
use crate::error::{Error, Result};
use crate::events;
use crate::state::App;
use crate::web::history::HistoryLine;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::get;
use crate::zone::Zone;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use axum_extra::extract::Query;
use serde::Deserialize;
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new().route("/journal", get(department)).route("/events/{id}/journal", get(event))
}

/// Entries on one page.
const MOST: i64 = 60;

#[derive(Template)]
#[template(path = "settings/journal.html")]
struct Journal {
    page: Page,
    heading: String,
    lines: Vec<HistoryLine>,
    /// Where to find older entries; empty on the last page.
    older: String,
    event_journal: String,
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct From {
    before: Option<i64>,
}

async fn department(State(app): State<App>, SignedIn(visit): SignedIn, Query(from): Query<From>) -> Result<Response> {
    let now: OffsetDateTime = app.clock.now();
    let page = events::page(&app, &visit, None, now).await?.titled("History");
    let told = journal::page(app.db.read(), None, from.before.unwrap_or(i64::MAX), MOST).await?;
    let told = visit.user.shown_history(told);
    let zone = Zone::named(&visit.user.department.zone).ok_or(Error::NotFound)?;
    let event_journal = page.event.as_ref().map(|event| format!("{}/journal", event.href)).unwrap_or_default();
    show(&view(page, "History of the department", "/journal", told, &zone, event_journal))
}

async fn event(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Query(from): Query<From>,
) -> Result<Response> {
    let event = events::find(app.db.read(), id).await?.ok_or(Error::NotFound)?;
    let page = events::page(&app, &visit, Some(&event), app.clock.now()).await?.titled("History");
    let told = journal::page(app.db.read(), Some(id), from.before.unwrap_or(i64::MAX), MOST).await?;
    let told = visit.user.shown_history(told);
    let path = format!("/events/{id}/journal");
    show(&view(page, "History", &path, told, &event.details.zone, String::new()))
}

fn view(page: Page, heading: &str, path: &str, told: Vec<Told>, zone: &Zone, event_journal: String) -> Journal {
    let full = i64::try_from(told.len()).is_ok_and(|length| length == MOST);
    let older = told.last().filter(|_| full).map(|last| format!("{path}?before={}", last.id)).unwrap_or_default();
    let lines = told.into_iter().map(|told| HistoryLine::of(told, zone)).collect();
    Journal { page, heading: heading.to_owned(), lines, older, event_journal }
}
