//! The decisions on one sheet, with the gates and the signatures.

use super::decision::Decision;
use super::line::{GateLine, moment};
use super::page::{DECIDES, Wanted, page};
use super::says::{Standing, standing};
use super::signature::Signature;
use super::snapshot::GateSnapshot;
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
use axum_extra::extract::Query;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/burn-day/gates/sheet", get(sheet))
}

/// A signature as printed.
struct Signed {
    name: String,
    role: &'static str,
    says: &'static str,
    reason: String,
    at: String,
    is_overtaken: bool,
}

#[derive(Template)]
#[template(path = "gates/sheet.html")]
struct Sheet {
    page: Page,
    decision: Decision,
    event: String,
    printed: String,
    standing: Standing,
    lines: Vec<GateLine>,
    signatures: Vec<Signed>,
    decides: &'static str,
}

async fn sheet(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Query(wanted): Query<Wanted>,
) -> Result<Response> {
    let snapshot = GateSnapshot::load(&app, id).await?;
    let decision = wanted.decision(&snapshot);
    let page = page(&app, &visit, &snapshot.event, "Gates on paper").await?;
    show(&Sheet::of(&snapshot, decision, page))
}

impl Sheet {
    fn of(snapshot: &GateSnapshot, decision: Decision, page: Page) -> Self {
        let details = &snapshot.event.details;
        let (day, hour) = (Reader::Public.day(details.burn_on), Reader::App.time(details.burn_time));
        let signatures = snapshot.signatures.iter().filter(|one| one.decision == decision);
        Self {
            page,
            decision,
            event: format!("{}, {day}, {hour}", details.name),
            printed: Reader::App.moment(details.zone.wall(snapshot.now)),
            standing: standing(snapshot, decision),
            lines: snapshot.needed(decision).map(|gate| GateLine::of(snapshot, gate, decision)).collect(),
            signatures: signatures.map(|one| signed(snapshot, one)).collect(),
            decides: DECIDES,
        }
    }
}

fn signed(snapshot: &GateSnapshot, one: &Signature) -> Signed {
    Signed {
        name: one.name.clone(),
        role: one.role.as_str(),
        says: one.says.as_str(),
        reason: one.reason.clone(),
        at: moment(snapshot, one.at),
        is_overtaken: one.is_overtaken,
    }
}
