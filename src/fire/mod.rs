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

use crate::calc::fire::bands::FireTimes;
use crate::error::Result;
use crate::events::Event;
use crate::rooms;
use crate::state::App;
use axum::{Extension, Router};
use futures_util::future::BoxFuture;
use sqlx::SqliteConnection;

pub use estimates::tick;
pub use heat::BTU;
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
pub async fn as_listed(db: &mut SqliteConnection, event: &Event) -> Result<Setup> {
    let drawn = rooms::measured(db, event).await?;
    Ok(listed::setup(&rooms::of_event(db, event.id).await?, drawn.as_ref()))
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

/// How far the pinned estimate keeps everyone from the rooms' fronts, in meters, and what the
/// flame gives off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reach {
    /// The public, by the largest rule, and with wind toward people.
    pub public: f64,
    pub public_with_wind: f64,
    /// Press with an escort.
    pub press: f64,
    /// Things that melt.
    pub things: f64,
    /// The flame of more than 19 in 20 fires, kW, in one room.
    pub flame: f64,
    /// An attack line's length.
    pub hose: f64,
}

/// None until an estimate is pinned and its fires are simulated.
///
/// # Errors
/// The store's.
pub async fn reach(db: &mut SqliteConnection, event: &Event) -> Result<Option<Reach>> {
    let plan = store::plan(db, event.id).await?;
    let Some(Plan { setup, bands: Some(bands), .. }) = plan else { return Ok(None) };
    Ok(setup.read().ok().map(|read| heat::reach(&read, &heat::Glow::of(&read, &bands, event.details.format))))
}

/// What an event's plan says about time.
#[derive(Debug, Clone, PartialEq)]
pub enum Clock {
    /// No estimate is pinned.
    NotPinned,
    /// Its fires are still being simulated.
    Waiting,
    Ready(Fires),
}

/// The simulated fires of the pinned plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Fires {
    /// What the estimate is called.
    pub plan: String,
    /// When it was pinned, in Unix seconds: another plan has other fires.
    pub pinned_at: i64,
    /// How long they are followed, s.
    pub until: f64,
    pub times: Vec<FireTimes>,
}

/// The fires that an event's talk and day are planned by.
///
/// # Errors
/// The store's.
pub async fn clock(db: &mut SqliteConnection, event_id: i64) -> Result<Clock> {
    let Some(plan) = store::plan(db, event_id).await? else { return Ok(Clock::NotPinned) };
    let (Some(bands), Some(times)) = (plan.bands, store::fires(db, event_id).await?) else { return Ok(Clock::Waiting) };
    let pinned_at = plan.pinned_at.unix_timestamp();
    Ok(Clock::Ready(Fires { plan: plan.setup.name, pinned_at, until: bands.until, times }))
}

/// The caution on every page and every sheet about the fire.
pub const DECIDES: &str = "Screening estimate. The authority having jurisdiction, the safety officer, and the listed \
                       product's data decide.";
