//! How far the heat reaches, and whether the water lasts.

use super::DECIDES;
use super::estimates::Estimates;
use super::heat::HeatView;
use super::page::{Asked, Opened, page};
use crate::accounts::SignedIn;
use crate::error::Result;
use crate::state::App;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::get;
use askama::Template;
use axum::extract::State;
use axum::response::Response;
use axum::{Extension, Router};
use axum_extra::extract::Query;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/rooms/heat", get(heat_and_water))
}

#[derive(Template)]
#[template(path = "fire/heat.html")]
struct HeatPage {
    page: Page,
    event_id: i64,
    may: bool,
    decides: &'static str,
    setting: i64,
    shown: Option<HeatView>,
}

async fn heat_and_water(
    State(app): State<App>,
    Extension(estimates): Extension<Estimates>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Query(asked): Query<Asked>,
) -> Result<Response> {
    let now = app.clock.now();
    let Opened { known, chosen, estimate } = Opened::load(&app, &estimates, id, &asked).await?;
    show(&HeatPage {
        page: page(&app, &visit, &known.event, "Heat and water", now).await?,
        event_id: id,
        may: visit.user.plans_burn(),
        decides: DECIDES,
        setting: chosen.id,
        shown: estimate.map(|made| HeatView::of(&chosen, &made, &known.event)),
    })
}
