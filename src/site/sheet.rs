//! The site on a sheet, and as a file.

use super::DECIDES;
use super::drawing::Drawing;
use super::page::page;
use super::said::Shown;
use super::scaled::Scaled;
use super::snapshot::SiteSnapshot;
use crate::accounts::SignedIn;
use crate::error::{Error, Result};
use crate::state::App;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::get;
use crate::web::words::Reader;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::header;
use axum::response::{IntoResponse, Response};

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/rooms/site/sheet", get(sheet))
        .route("/events/{id}/rooms/site/drawing.svg", get(file))
}

#[derive(Template)]
#[template(path = "site/sheet.html")]
struct SheetPage {
    page: Page,
    event_line: String,
    printed: String,
    decides: &'static str,
    /// None if nothing is drawn.
    drawing: Option<(Scaled, Drawing)>,
    findings: Vec<Shown>,
}

async fn sheet(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = SiteSnapshot::load(&app, id).await?;
    let page = page(&app, &visit, &snapshot.event, "The site on paper", now).await?;
    let is_empty = snapshot.current.plan.is_empty();
    let drawing = snapshot.current.plan.site().ok().filter(|_| !is_empty).map(|site| Drawing::of(&snapshot, &site));
    let drawing = drawing.map(|drawing| (Scaled::of(drawing.size()), drawing));
    show(&SheetPage {
        event_line: page.event.as_ref().map(|banner| format!("{} · {}", banner.name, banner.line)).unwrap_or_default(),
        page,
        printed: Reader::App.moment(snapshot.event.details.zone.wall(now)),
        decides: DECIDES,
        drawing,
        findings: snapshot.findings.into_iter().filter(Shown::can_be_accepted).collect(),
    })
}

#[derive(Template)]
#[template(path = "site/file.svg", escape = "html")]
struct FilePage {
    name: String,
    scaled: Scaled,
    drawing: Drawing,
}

/// The drawing as a file, to scale.
async fn file(State(app): State<App>, SignedIn(_): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let snapshot = SiteSnapshot::load(&app, id).await?;
    let site = snapshot.current.plan.site().map_err(|_| Error::NotFound)?;
    let drawing = Drawing::of(&snapshot, &site);
    let svg = FilePage { name: snapshot.event.details.name.clone(), scaled: Scaled::of(drawing.size()), drawing };
    let headers =
        [(header::CONTENT_TYPE, "image/svg+xml"), (header::CONTENT_DISPOSITION, "attachment; filename=\"site.svg\"")];
    Ok((headers, svg.render()?).into_response())
}
