//! What the pages about the fire have in common.

use super::estimates::Estimates;
use super::snapshot::{Chosen, Estimate, FireSnapshot};
use crate::accounts::{User, Visit};
use crate::calc::fire::bands::Bands;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::state::App;
use crate::web::page::Page;
use serde::Deserialize;
use time::OffsetDateTime;

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
pub(super) struct Asked {
    setting: String,
    at: String,
}

impl Asked {
    fn setting(&self) -> Option<i64> {
        self.setting.parse().ok().filter(|number| *number >= 0)
    }

    /// The moment that is shown, within the fires' time.
    pub fn at(&self, bands: &Bands) -> f64 {
        let at = self.at.parse().ok().filter(|at: &f64| at.is_finite());
        at.unwrap_or(60.0).clamp(0.0, bands.until)
    }
}

/// One estimate of an event, as a page shows it.
pub(super) struct Opened {
    pub known: FireSnapshot,
    pub chosen: Chosen,
    /// None if nothing can be said yet.
    pub estimate: Option<Estimate>,
}

impl Opened {
    /// The estimate that the address asks for.
    pub async fn load(app: &App, estimates: &Estimates, id: i64, asked: &Asked) -> Result<Self> {
        let known = FireSnapshot::load(app, id).await?;
        let chosen = known.chosen(asked.setting())?;
        let estimate = known.estimate(app, estimates, &chosen).await?;
        Ok(Self { known, chosen, estimate })
    }
}
