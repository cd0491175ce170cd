//! What the pinned estimate says to the other slices: how far its heat reaches, and when its fires
//! do what.

use super::heat::{Glow, Reach};
use super::store::{self, Plan};
use crate::calc::fire::bands::FireTimes;
use crate::error::Result;
use crate::events::Event;
use crate::state::App;
use futures_util::future::BoxFuture;
use sqlx::SqliteConnection;

/// How far from the rooms things that melt must be by the pinned estimate, in meters.
#[must_use]
#[expect(clippy::needless_pass_by_value, reason = "loans ask for this shape")]
pub fn melts(app: App, event: Event) -> BoxFuture<'static, Result<Option<f64>>> {
    Box::pin(async move {
        let plan = store::plan(&mut *app.db.read().acquire().await?, event.id).await?;
        let Some(Plan { setup, bands: Some(bands), .. }) = plan else { return Ok(None) };
        let glow = setup.read().ok().map(|read| Glow::of(&read, &bands, event.details.format));
        Ok(glow.map(|glow| super::heat::melts(&glow)))
    })
}

/// None until an estimate is pinned and its fires are simulated.
pub async fn reach(db: &mut SqliteConnection, event: &Event) -> Result<Option<Reach>> {
    let plan = store::plan(db, event.id).await?;
    let Some(Plan { setup, bands: Some(bands), .. }) = plan else { return Ok(None) };
    Ok(setup.read().ok().map(|read| Reach::of(&read, &Glow::of(&read, &bands, event.details.format))))
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
pub async fn clock(db: &mut SqliteConnection, event_id: i64) -> Result<Clock> {
    let Some(plan) = store::plan(db, event_id).await? else { return Ok(Clock::NotPinned) };
    let (Some(bands), Some(times)) = (plan.bands, store::fires(db, event_id).await?) else { return Ok(Clock::Waiting) };
    let pinned_at = plan.pinned_at.unix_timestamp();
    Ok(Clock::Ready(Fires { plan: plan.setup.name, pinned_at, until: bands.until, times }))
}
