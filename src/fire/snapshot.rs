//! What an event has about the fire, and what comes of one of its setups.

use super::estimates::Estimates;
use super::listed;
use super::reading::Read;
use super::setup::Setup;
use super::store::{self, Earlier, Plan, Setting};
use crate::calc::fire::bands::Bands;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::rooms::{self, Measured, Thing};
use crate::state::App;
use std::sync::Arc;

/// Everything the pages need of one event.
pub(super) struct FireSnapshot {
    pub event: Event,
    pub things: Vec<Thing>,
    pub drawn: Option<Measured>,
    pub settings: Vec<Setting>,
    pub plan: Option<Plan>,
    pub earlier: Vec<Earlier>,
}

impl FireSnapshot {
    pub async fn load(app: &App, id: i64) -> Result<Self> {
        let event = events::find(app.db.read(), id).await?.ok_or(Error::NotFound)?;
        let mut db = app.db.read().acquire().await?;
        Ok(Self {
            things: rooms::of_event(&mut db, id).await?,
            drawn: rooms::measured(&mut db, &event).await?,
            event,
            settings: store::settings(&mut db, id).await?,
            plan: store::plan(&mut db, id).await?,
            earlier: store::earlier(&mut db).await?,
        })
    }

    /// The setting with this number; without one, the plan, the setting that was added last,
    /// or what is on the lists.
    pub fn chosen(&self, number: Option<i64>) -> Result<Chosen> {
        let of = |setting: &Setting| Chosen {
            id: setting.id,
            setup: setting.setup.clone(),
            version: setting.version,
            is_plan: false,
        };
        match number {
            Some(0) => Ok(self.as_listed()),
            Some(number) => self.settings.iter().find(|setting| setting.id == number).map(of).ok_or(Error::NotFound),
            None => {
                if let Some(plan) = &self.plan {
                    let same = self.settings.iter().find(|setting| setting.setup == plan.setup);
                    let id = same.map_or(-1, |setting| setting.id);
                    return Ok(Chosen {
                        id,
                        setup: plan.setup.clone(),
                        version: same.map_or(0, |setting| setting.version),
                        is_plan: true,
                    });
                }
                Ok(self.settings.last().map_or_else(|| self.as_listed(), of))
            }
        }
        .map(|chosen| {
            let is_plan = self.plan.as_ref().is_some_and(|plan| plan.setup == chosen.setup);
            Chosen { is_plan, ..chosen }
        })
    }

    /// What comes of a setup: the plan's own bands where they are ready, or some made at once.
    /// None if the setup can't be used.
    pub async fn estimate(&self, app: &App, estimates: &Estimates, chosen: &Chosen) -> Result<Option<Estimate>> {
        let Ok(read) = chosen.setup.read() else { return Ok(None) };
        let of_plan = self.plan.as_ref().filter(|_| chosen.is_plan).and_then(|plan| plan.bands.clone());
        let bands = match of_plan {
            Some(bands) => Arc::new(bands),
            None => estimates.of(app, &read).await?,
        };
        Ok(Some(Estimate { read, bands }))
    }

    fn as_listed(&self) -> Chosen {
        Chosen { id: 0, setup: listed::setup(&self.things, self.drawn.as_ref()), version: 0, is_plan: false }
    }
}

/// A setup to show.
pub(super) struct Chosen {
    /// Its setting's number; 0 for what is on the lists, −1 for a plan whose setting is gone
    /// or was changed.
    pub id: i64,
    pub setup: Setup,
    /// Its setting's version; 0 without a setting.
    pub version: i64,
    pub is_plan: bool,
}

/// A setup that can be used, and what comes of it.
pub(super) struct Estimate {
    pub read: Read,
    pub bands: Arc<Bands>,
}
