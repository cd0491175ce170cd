//! What the fire will do, the plan, how far the heat reaches, and the sheet for the burn plan.

use super::DECIDES;
use super::estimates::Estimates;
use super::snapshot::FireSnapshot;
use super::store;
use super::views::{HeatView, MomentView, Shown};
use crate::accounts::{SignedIn, User, Visit};
use crate::calc::fire::bands::Bands;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::state::App;
use crate::web::flash;
use crate::web::form::Form;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::Reader;
use askama::Template;
use axum::extract::State;
use axum::response::Response;
use axum::{Extension, Router};
use axum_extra::extract::Query;
use serde::Deserialize;
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/rooms/fire", get(fire))
        .route("/events/{id}/rooms/fire/sheet", get(sheet))
        .route("/events/{id}/rooms/fire/pin", post(pin))
        .route("/events/{id}/rooms/heat", get(heat_and_water))
}

/// Only those who plan the burn.
pub(super) fn must_plan_fire(user: &User) -> Result<()> {
    if user.plans_burn() {
        return Ok(());
    }
    Err(Error::Forbidden(
        "Only the burn boss, the safety officer, or the education officer can change the fire estimate. Ask one of \
         them, or go back.",
    ))
}

pub(super) async fn page(app: &App, visit: &Visit, event: &Event, title: &str, now: OffsetDateTime) -> Result<Page> {
    Ok(events::page(app, visit, Some(event), now).await?.titled(title))
}

/// What the address asks for. What can't be read isn't asked for.
#[derive(Debug, Deserialize, Default)]
#[serde(default)]
struct Asked {
    setting: String,
    at: String,
}

impl Asked {
    fn setting(&self) -> Option<i64> {
        self.setting.parse().ok().filter(|number| *number >= 0)
    }

    /// The moment that is shown, within the fires' time.
    fn at(&self, bands: &Bands) -> f64 {
        let at = self.at.parse().ok().filter(|at: &f64| at.is_finite());
        at.unwrap_or(60.0).clamp(0.0, bands.until)
    }
}

#[derive(Template)]
#[template(path = "fire/index.html")]
struct FirePage {
    page: Page,
    event_id: i64,
    may: bool,
    decides: &'static str,
    setting: i64,
    version: i64,
    is_plan: bool,
    /// Who pinned it, when, and that its fires are still being drawn.
    pinned: String,
    is_waiting: bool,
    /// The other settings: number and name.
    others: Vec<(i64, String)>,
    has_plan: bool,
    /// None if nothing can be said yet.
    shown: Option<(Shown, MomentView)>,
}

async fn fire(
    State(app): State<App>,
    Extension(estimates): Extension<Estimates>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Query(asked): Query<Asked>,
) -> Result<Response> {
    let now = app.clock.now();
    let known = FireSnapshot::load(&app, id).await?;
    let chosen = known.chosen(asked.setting())?;
    let made = known.estimate(&app, &estimates, &chosen).await?;
    let shown = made.map(|made| (Shown::of(&known, &chosen, &made), MomentView::of(&made, asked.at(&made.bands))));
    let others = known.settings.iter().filter(|setting| setting.id != chosen.id);
    let mut others: Vec<(i64, String)> = others.map(|setting| (setting.id, setting.setup.name.clone())).collect();
    if chosen.id != 0 && known.settings.is_empty() {
        others.push((0, "The room lists now".to_owned()));
    }
    let pinned = known.plan.as_ref().filter(|_| chosen.is_plan).map(|plan| {
        let by = plan.pinned_by.as_ref().map_or_else(String::new, |by| format!(" by {by}"));
        let at = Reader::App.near_moment(known.event.details.zone.wall(plan.pinned_at), known.event.today(now));
        format!("Pinned as the plan{by}, {at}.")
    });
    show(&FirePage {
        page: page(&app, &visit, &known.event, "What the fire will do", now).await?,
        event_id: id,
        may: visit.user.plans_burn(),
        decides: DECIDES,
        setting: chosen.id,
        version: chosen.version,
        is_plan: chosen.is_plan,
        is_waiting: chosen.is_plan && known.plan.as_ref().is_some_and(|plan| plan.bands.is_none()),
        pinned: pinned.unwrap_or_default(),
        others,
        has_plan: known.plan.is_some(),
        shown,
    })
}

#[derive(Debug, Deserialize)]
struct PinForm {
    setting: Option<i64>,
    /// The setting's version that was shown.
    #[serde(default)]
    version: i64,
}

async fn pin(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Form(form): Form<PinForm>,
) -> Result<Response> {
    must_plan_fire(&visit.user)?;
    let (now, account) = (app.clock.now(), visit.user.account_id);
    let known = FireSnapshot::load(&app, id).await?;
    let Some(setting) = form.setting else {
        return Err(Error::BadRequest(
            "Say which estimate to pin. Go back, and press the button beside it.".to_owned(),
        ));
    };
    let chosen = known.chosen(Some(setting))?;
    if chosen.version != form.version {
        let said = "Someone changed this estimate after you opened it. Look at it again, then pin it.";
        return Ok(flash::redirect(&format!("/events/{id}/rooms/fire?setting={setting}"), said));
    }
    let setup = chosen.setup;
    if setup.read().is_err() {
        return Err(Error::BadRequest(
            "Part of what this estimate rests on can't be used. Open it, fix what is marked, save, and pin it then."
                .to_owned(),
        ));
    }
    app.db.write(move |tx| Box::pin(async move { store::pin(tx, account, id, &setup, now).await })).await?;
    Ok(flash::redirect(&format!("/events/{id}/rooms/fire"), "Pinned as the plan. 2,000 fires are being drawn for it."))
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
    let known = FireSnapshot::load(&app, id).await?;
    let chosen = known.chosen(asked.setting())?;
    let made = known.estimate(&app, &estimates, &chosen).await?;
    let shown = made.map(|made| HeatView::of(&chosen, &made, &known.event));
    show(&HeatPage {
        page: page(&app, &visit, &known.event, "Heat and water", now).await?,
        event_id: id,
        may: visit.user.plans_burn(),
        decides: DECIDES,
        setting: chosen.id,
        shown,
    })
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

/// One sheet for the burn plan.
async fn sheet(
    State(app): State<App>,
    Extension(estimates): Extension<Estimates>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Query(asked): Query<Asked>,
) -> Result<Response> {
    let now = app.clock.now();
    let known = FireSnapshot::load(&app, id).await?;
    let chosen = known.chosen(asked.setting())?;
    let made = known.estimate(&app, &estimates, &chosen).await?;
    let shown = made.map(|made| (Shown::of(&known, &chosen, &made), HeatView::of(&chosen, &made, &known.event)));
    let page = page(&app, &visit, &known.event, "Fire, heat, and water", now).await?;
    show(&SheetPage {
        event_id: id,
        department: page.department.clone(),
        event_line: page.event.as_ref().map(|banner| format!("{} · {}", banner.name, banner.line)).unwrap_or_default(),
        page,
        printed: Reader::App.moment(known.event.details.zone.wall(now)),
        decides: DECIDES,
        shown,
    })
}
