//! People suggested while someone types.

use crate::accounts::{PeopleReader, Worker};
use crate::error::Result;
use crate::people::choosing;
use crate::state::App;
use crate::web::routes::get;
use axum::extract::State;
use axum::response::{IntoResponse, Response};
use axum::{Json, Router};
use axum_extra::extract::Query;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new().route("/people/names", get(names)).route("/people/choices", get(choices))
}

/// How many names to suggest while someone types.
const MOST_NAMES: usize = 20;

#[derive(Deserialize, Default)]
#[serde(default)]
struct Begun {
    q: String,
}

/// Names that contain what is being typed, for fields that take a name.
async fn names(State(app): State<App>, Worker(_): Worker, Query(begun): Query<Begun>) -> Result<Response> {
    let mut db = app.db.read().acquire().await?;
    Ok(Json(choosing::names(&mut db, &begun.q, MOST_NAMES).await?).into_response())
}

/// People who match what is being typed, for fields in which someone is chosen. The search
/// goes through emails and phones too.
async fn choices(
    State(app): State<App>,
    PeopleReader(_): PeopleReader,
    Query(begun): Query<Begun>,
) -> Result<Response> {
    let mut db = app.db.read().acquire().await?;
    Ok(Json(choosing::suggested(&mut db, &begun.q, MOST_NAMES).await?).into_response())
}
