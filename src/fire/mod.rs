//! What the fire in both rooms will probably do, how far its heat reaches, and how much water
//! it takes: estimates from the rooms' own lists, compared, and pinned as the plan.

mod basis;
mod compare;
mod drawing;
mod earlier;
mod edit;
mod estimates;
mod heat;
mod listed;
mod reading;
mod routes;
mod says;
mod setup;
mod snapshot;
mod store;
mod typed;
mod views;

use crate::error::Result;
use crate::events::Event;
use crate::rooms;
use crate::state::App;
use axum::{Extension, Router};
use futures_util::future::BoxFuture;
use sqlx::SqliteConnection;

pub use estimates::tick;
pub use setup::Setup;
pub use store::{Earlier, Plan, Setting, add_earlier, pin, plan, save};

/// The pages of the estimates.
pub fn router() -> Router<App> {
    let all = routes::router().merge(compare::router()).merge(edit::router()).merge(earlier::router());
    all.layer(Extension(estimates::Estimates::default()))
}

/// What the lists of an event's rooms say, as a setup.
///
/// # Errors
/// The store's.
pub async fn as_listed(db: &mut SqliteConnection, event_id: i64) -> Result<Setup> {
    Ok(listed::setup(&rooms::of_event(db, event_id).await?))
}

/// How far from the rooms things that melt must be by the pinned estimate, in meters.
#[must_use]
#[expect(clippy::needless_pass_by_value, reason = "loans ask for this shape")]
pub fn melts(app: App, event: Event) -> BoxFuture<'static, Result<Option<f64>>> {
    Box::pin(async move {
        let plan = store::plan(&mut *app.db.read().acquire().await?, event.id).await?;
        let Some(Plan { setup, bands: Some(bands), .. }) = plan else { return Ok(None) };
        let glow = setup.read().ok().map(|read| heat::Glow::of(&read, &bands, event.details.format));
        Ok(glow.map(|glow| heat::melts(&glow)))
    })
}

/// The caution that stands on every page and every sheet about the fire.
const DECIDES: &str = "Screening estimate. The authority having jurisdiction, the safety officer, and the listed \
                       product's data decide.";
