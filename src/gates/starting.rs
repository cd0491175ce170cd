//! Starting with the usual gates, and turning permits' conditions into gates.

use super::decision::Decision;
use super::gate::{Basis, Details};
use super::measure::Measure;
use super::page::{href, only_planners};
use super::snapshot::GateSnapshot;
use super::store;
use super::usual::usual;
use crate::accounts::Worker;
use crate::calc::gates::Worse;
use crate::error::Result;
use crate::permit_records::{self, Permit};
use crate::state::App;
use crate::web::flash;
use crate::web::path::Path;
use crate::web::routes::post;
use crate::web::words;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use sqlx::SqliteConnection;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/burn-day/gates/start", post(start))
        .route("/events/{id}/burn-day/gates/conditions", post(conditions))
}

async fn start(State(app): State<App>, Worker(visit): Worker, Path(id): Path<i64>) -> Result<Response> {
    only_planners(&visit)?;
    let snapshot = GateSnapshot::load(&app, id).await?;
    let (actor, now) = (visit.user.actor(), snapshot.now);
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let is_bare = store::of_event(tx, id).await?.is_empty();
            if is_bare {
                store::add(tx, actor, id, usual(), now).await?;
            }
            Ok(is_bare)
        })
    });
    let said = if write.await? {
        "The usual gates are here. The safety officer adopts each limit or changes it."
    } else {
        "There are gates already. Nothing was added."
    };
    Ok(flash::redirect(&href(id), said))
}

/// The permits whose conditions are no gate yet.
pub(super) async fn without_gate(db: &mut SqliteConnection, snapshot: &GateSnapshot) -> Result<Vec<Permit>> {
    let permits = permit_records::of_event(db, snapshot.event.id).await?;
    let is_gate = |permit: &Permit| snapshot.gates.iter().any(|gate| gate.details.permit_id == Some(permit.id));
    Ok(permits.into_iter().filter(|permit| !permit.details.conditions.is_empty() && !is_gate(permit)).collect())
}

async fn conditions(State(app): State<App>, Worker(visit): Worker, Path(id): Path<i64>) -> Result<Response> {
    only_planners(&visit)?;
    let event = GateSnapshot::load(&app, id).await?.event;
    let (actor, now) = (visit.user.actor(), app.clock.now());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let snapshot = GateSnapshot::of(tx, event, now).await?;
            let new: Vec<Details> = without_gate(tx, &snapshot).await?.iter().map(of_permit).collect();
            store::add(tx, actor, id, &new, now).await?;
            Ok(new.len())
        })
    });
    let said = match write.await? {
        0 => "Every permit with conditions has its gate already.".to_owned(),
        count => format!("Added {} for the conditions of permits.", words::count(count, "gate", "gates")),
    };
    Ok(flash::redirect(&href(id), &said))
}

/// The gate that asks whether a permit's conditions are met.
fn of_permit(permit: &Permit) -> Details {
    let name: String = format!("Conditions: {}", permit.details.title).chars().take(60).collect();
    Details {
        name,
        look_at: permit.details.conditions.chars().take(400).collect(),
        measure: Measure::YesNo,
        unit: String::new(),
        worse: Worse::Above,
        amber: None,
        red: None,
        choices: Vec::new(),
        basis: Basis::LocalDecision,
        source: permit.details.authority.clone(),
        reader: "safety officer".to_owned(),
        fresh: 720,
        decisions: vec![Decision::Morning],
        permit_id: Some(permit.id),
    }
}
