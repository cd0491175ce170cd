//! What an event has about its site, and what the checks find.

use super::plan::Plan;
use super::said::Shown;
use super::says;
use super::store::{self, Accepted, Current};
use crate::calc::fire::radiation::RADIATED;
use crate::calc::site::{self, Finding, Given, Grade, Heat, Kind, What};
use crate::error::{Error, Result};
use crate::events::{self, Event, Format};
use crate::fire;
use crate::state::App;
use sqlx::SqliteConnection;

/// Everything the pages need.
pub(super) struct SiteSnapshot {
    pub event: Event,
    pub current: Current,
    pub given: Given,
    pub findings: Vec<Shown>,
    pub hidden: Vec<Hidden>,
}

/// The first row that sees too little of a room, and how far from its front it is.
pub(super) struct Hidden {
    pub room: Kind,
    pub row: u32,
    pub distance: f64,
}

impl SiteSnapshot {
    pub async fn load(app: &App, id: i64) -> Result<Self> {
        let event = events::find(app.db.read(), id).await?.ok_or(Error::NotFound)?;
        Self::of(&mut *app.db.read().acquire().await?, event).await
    }

    pub async fn of(db: &mut SqliteConnection, event: Event) -> Result<Self> {
        let current = store::current(db, event.id).await?;
        let accepted = store::accepted(db, event.id).await?;
        let given = given(db, &event).await?;
        let found = found(&current.plan, &given);
        let findings = shown(&found, &current.plan, &given, &accepted);
        let hidden = found.iter().filter_map(|finding| match finding.what {
            What::Sight { ref rooms, row, distance, .. } => Some(Hidden { room: *rooms.first()?, row, distance }),
            _ => None,
        });
        let hidden = hidden.collect();
        Ok(Self { event, current, given, findings, hidden })
    }

    /// Those that someone has to settle or accept.
    pub fn open(&self) -> impl Iterator<Item = &Shown> {
        self.findings.iter().filter(|shown| shown.is_open())
    }
}

async fn given(db: &mut SqliteConnection, event: &Event) -> Result<Given> {
    let reach = fire::reach(db, event).await?;
    let details = &event.details;
    Ok(Given {
        people: details.audience.unwrap_or(0),
        lit_at: details.starts_at().unix_timestamp(),
        place: details.visitors.place.map(|place| (place.latitude(), place.longitude())),
        heat: reach.map(|reach| Heat {
            public: reach.public,
            public_with_wind: reach.public_with_wind,
            press: reach.press,
            things: reach.things,
            flame: reach.flame,
            radiated: RADIATED,
        }),
        hose: reach.map(|reach| reach.hose),
        both_at_once: details.format == Format::BothAtOnce,
    })
}

fn found(plan: &Plan, given: &Given) -> Vec<Finding> {
    if plan.items.is_empty() {
        return Vec::new();
    }
    plan.site().map(|site| site::check(&site, given)).unwrap_or_default()
}

/// What the checks find, the worst first; what was accepted comes after what is open.
fn shown(found: &[Finding], plan: &Plan, given: &Given, accepted: &[Accepted]) -> Vec<Shown> {
    let one = |finding: &Finding| {
        let mut shown = says::shown(finding, plan, given);
        shown.accepted = accepted.iter().find(|one| holds(one, &shown.key, finding)).cloned();
        shown
    };
    let mut all: Vec<Shown> = found.iter().map(one).collect();
    all.sort_by_key(|shown| (shown.grade, shown.accepted.is_some()));
    all
}

/// Accepted is what was seen then: once it gets worse, it is open again.
fn holds(accepted: &Accepted, key: &str, finding: &Finding) -> bool {
    accepted.finding == key && finding.grade < Grade::Good && finding.badness <= accepted.badness * 1.001 + 1e-6
}
