//! The gates of one event with their readings and signatures, loaded once, and what follows.

use super::decision::{Decision, DecisionTimes};
use super::gate::{Gate, Grade};
use super::measure::Measure;
use super::reading::Reading;
use super::signature::{Says, Signature};
use super::store;
use crate::accounts::Role;
use crate::calc::gates::{self, GateNow, Kind, Light, Value, Verdict};
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::state::App;
use sqlx::SqliteConnection;
use time::OffsetDateTime;

/// Everything about an event's gates and decisions.
#[derive(Debug)]
pub struct GateSnapshot {
    pub event: Event,
    pub gates: Vec<Gate>,
    /// Newest first.
    pub readings: Vec<Reading>,
    /// Oldest first.
    pub signatures: Vec<Signature>,
    pub times: DecisionTimes,
    pub now: OffsetDateTime,
}

impl GateSnapshot {
    pub(super) async fn load(app: &App, event_id: i64) -> Result<Self> {
        let now = app.clock.now();
        let event = events::found(app.db.read(), event_id).await?;
        Self::of(&mut *app.db.read().acquire().await?, event, now).await
    }

    pub(super) async fn of(db: &mut SqliteConnection, event: Event, now: OffsetDateTime) -> Result<Self> {
        Ok(Self {
            gates: store::of_event(db, event.id).await?,
            readings: store::readings(db, event.id).await?,
            signatures: store::signatures(db, event.id).await?,
            times: store::times(db, event.id).await?,
            event,
            now,
        })
    }

    /// The gate with this number.
    pub(super) fn find(&self, id: i64) -> Result<&Gate> {
        self.gates.iter().find(|gate| gate.id == id).ok_or(Error::NotFound)
    }

    /// The gates that a decision needs.
    pub fn needed(&self, decision: Decision) -> impl Iterator<Item = &Gate> {
        self.gates.iter().filter(move |gate| gate.details.decisions.contains(&decision))
    }

    /// What was read for a gate, newest first; forecasts only where they count.
    pub fn counting(&self, gate: i64, decision: Decision) -> impl Iterator<Item = &Reading> {
        let counts = move |reading: &&Reading| decision.takes_forecasts() || !reading.noted.is_forecast;
        self.readings.iter().filter(move |reading| reading.gate_id == gate).filter(counts)
    }

    /// A gate as its readings have it for a decision.
    #[must_use]
    pub fn gate_now(&self, gate: &Gate, decision: Decision) -> GateNow {
        let is_forecast = self.counting(gate.id, decision).next().is_some_and(|one| one.noted.is_forecast);
        let readings: Vec<gates::Reading> = self.counting(gate.id, decision).map(|one| reading(gate, one)).collect();
        GateNow::of(&rule(gate, is_forecast), &readings, self.now.unix_timestamp())
    }

    /// How a gate looks for a decision.
    #[must_use]
    pub fn light(&self, gate: &Gate, decision: Decision) -> Light {
        self.gate_now(gate, decision).light
    }

    /// All gates that a decision needs, as they are now.
    #[must_use]
    pub fn gates_now(&self, decision: Decision) -> Vec<GateNow> {
        self.needed(decision).map(|gate| self.gate_now(gate, decision)).collect()
    }

    /// The signatures under a decision that still count, oldest first.
    pub fn signed(&self, decision: Decision) -> impl Iterator<Item = &Signature> {
        self.signatures.iter().filter(move |one| one.decision == decision && !one.is_overtaken)
    }

    /// The same as the rules take them.
    #[must_use]
    pub fn signatures_of(&self, decision: Decision) -> Vec<gates::Signature> {
        self.signed(decision).map(signature).collect()
    }

    /// What comes of the gates and the signatures.
    #[must_use]
    pub fn verdict(&self, decision: Decision) -> Verdict {
        gates::verdict(&self.gates_now(decision), &self.signatures_of(decision))
    }

    /// The number of the last reading.
    #[must_use]
    pub fn seen(&self) -> i64 {
        self.readings.iter().map(|reading| reading.id).max().unwrap_or(0)
    }

    /// Gates whose limits the safety officer hasn't adopted.
    pub fn unadopted(&self) -> impl Iterator<Item = &Gate> {
        self.gates.iter().filter(|gate| !gate.is_adopted())
    }
}

/// Who someone is to the rules.
#[must_use]
pub fn role(role: Role) -> gates::Role {
    match role {
        Role::SafetyOfficer => gates::Role::SafetyOfficer,
        Role::BurnBoss => gates::Role::BurnBoss,
        Role::IncidentCommander => gates::Role::IncidentCommander,
        _ => gates::Role::Crew,
    }
}

/// A forecast counts for this many minutes: common practice, no source.
const FORECAST: u32 = 720;

/// The rule of a gate.
fn rule(gate: &Gate, is_forecast: bool) -> gates::Gate {
    let details = &gate.details;
    let grade = |grade: Grade| match grade {
        Grade::Good => gates::Grade::Good,
        Grade::Amber => gates::Grade::Amber,
        Grade::Red => gates::Grade::Red,
    };
    let kind = match details.measure {
        Measure::YesNo => Kind::YesNo,
        Measure::Choice => Kind::Choice(details.choices.iter().map(|choice| grade(choice.grade)).collect()),
        _ => Kind::Number { amber: details.amber, red: details.red, worse: details.worse },
    };
    let fresh_minutes = if is_forecast { details.fresh.max(FORECAST) } else { details.fresh };
    gates::Gate { id: gate.id, kind, adopted: gate.is_adopted(), fresh_minutes }
}

fn reading(gate: &Gate, reading: &Reading) -> gates::Reading {
    let value = reading.noted.value;
    let value = match gate.details.measure {
        Measure::YesNo => Value::Yes(value > 0.5),
        Measure::Choice => {
            Value::Choice((0..gate.details.choices.len()).find(|at| same(value, *at)).unwrap_or(usize::MAX))
        }
        _ => Value::Number(value),
    };
    gates::Reading { at: reading.noted.at.unix_timestamp(), value }
}

fn same(value: f64, place: usize) -> bool {
    u32::try_from(place).is_ok_and(|place| (value - f64::from(place)).abs() < 0.5)
}

fn signature(one: &Signature) -> gates::Signature {
    let says = match one.says {
        Says::Go => gates::Says::Go,
        Says::Hold => gates::Says::Hold,
        Says::NoBurn | Says::Stop => gates::Says::No,
    };
    gates::Signature {
        by: one.person_id,
        // Anyone's stop counts like a no from those who sign.
        role: if one.says == Says::Stop { gates::Role::IncidentCommander } else { role(one.role) },
        says,
        at: one.at.unix_timestamp(),
        reason: !one.reason.is_empty(),
        lights: one.lights.clone(),
    }
}
