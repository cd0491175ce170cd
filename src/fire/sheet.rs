//! One sheet about the fire for the burn plan.

use super::DECIDES;
use super::estimates::Estimates;
use super::heat::HeatView;
use super::page::{Asked, Opened, page};
use super::shown::Shown;
use crate::accounts::SignedIn;
use crate::error::Result;
use crate::state::App;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::get;
use crate::web::words::Reader;
use askama::Template;
use axum::extract::State;
use axum::response::Response;
use axum::{Extension, Router};
use axum_extra::extract::Query;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/rooms/fire/sheet", get(sheet))
}

#[derive(Template)]
#[template(path = "fire/sheet.html")]
struct SheetPage {
    page: Page,
    event_id: i64,
    department: String,
    event_line: String,
    printed: String,
    decides: &'static str,
    shown: Option<(Shown, HeatView)>,
}

async fn sheet(
    State(app): State<App>,
    Extension(estimates): Extension<Estimates>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Query(asked): Query<Asked>,
) -> Result<Response> {
    let now = app.clock.now();
    let Opened { known, chosen, estimate } = Opened::load(&app, &estimates, id, &asked).await?;
    let page = page(&app, &visit, &known.event, "Fire, heat, and water", now).await?;
    show(&SheetPage {
        event_id: id,
        department: page.department.clone(),
        event_line: page.event.as_ref().map(|banner| format!("{} · {}", banner.name, banner.line)).unwrap_or_default(),
        page,
        printed: Reader::App.moment(known.event.details.zone.wall(now)),
        decides: DECIDES,
        shown: estimate.map(|made| (Shown::of(&known, &chosen, &made), HeatView::of(&chosen, &made, &known.event))),
    })
}
