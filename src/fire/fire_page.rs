//! What the fire will do, and both rooms at one moment.

use super::DECIDES;
use super::estimates::Estimates;
use super::page::{Asked, Opened, page};
use super::quantities::clock;
use super::section::{self, MOMENTS, Section};
use super::shown::Shown;
use super::snapshot::{Chosen, Estimate, FireSnapshot};
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
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/rooms/fire", get(fire))
}

/// The two rooms at one moment.
#[derive(Debug)]
pub(super) struct MomentView {
    pub at: f64,
    pub clock: String,
    pub until: f64,
    pub links: Vec<(f64, String)>,
    pub sections: [Section; 2],
}

impl MomentView {
    pub fn of(Estimate { read, bands }: &Estimate, at: f64) -> Self {
        Self {
            at,
            clock: clock(at),
            until: bands.until,
            links: MOMENTS.into_iter().map(|at| (at, clock(at))).collect(),
            sections: section::sections(read, bands, at),
        }
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
    let Opened { known, chosen, estimate } = Opened::load(&app, &estimates, id, &asked).await?;
    let shown = estimate.map(|made| (Shown::of(&known, &chosen, &made), MomentView::of(&made, asked.at(&made.bands))));
    show(&FirePage {
        page: page(&app, &visit, &known.event, "What the fire will do", now).await?,
        event_id: id,
        may: visit.user.plans_burn(),
        decides: DECIDES,
        setting: chosen.id,
        version: chosen.version,
        is_plan: chosen.is_plan,
        is_waiting: chosen.is_plan && known.plan.as_ref().is_some_and(|plan| plan.bands.is_none()),
        pinned: pinned(&known, &chosen, now),
        others: others(&known, &chosen),
        has_plan: known.plan.is_some(),
        shown,
    })
}

/// The other estimates to look at: number and name.
fn others(known: &FireSnapshot, chosen: &Chosen) -> Vec<(i64, String)> {
    let others = known.settings.iter().filter(|setting| setting.id != chosen.id);
    let mut others: Vec<(i64, String)> = others.map(|setting| (setting.id, setting.setup.name.clone())).collect();
    if chosen.id != 0 && known.settings.is_empty() {
        others.push((0, "The room lists now".to_owned()));
    }
    others
}

/// Who pinned it, and when; empty if it isn't the plan.
fn pinned(known: &FireSnapshot, chosen: &Chosen, now: OffsetDateTime) -> String {
    let Some(plan) = known.plan.as_ref().filter(|_| chosen.is_plan) else { return String::new() };
    let by = plan.pinned_by.as_ref().map_or_else(String::new, |by| format!(" by {by}"));
    let at = Reader::App.near_moment(known.event.details.zone.wall(plan.pinned_at), known.event.today(now));
    format!("Pinned as the plan{by}, {at}.")
}
