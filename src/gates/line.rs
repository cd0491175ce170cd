//! A gate as a line of a list: its mark, what was read, and what that means.

use super::decision::Decision;
use super::gate::Gate;
use super::reading::Reading;
use super::snapshot::GateSnapshot;
use crate::calc::gates::{Light, Why};
use crate::web::words::{Reader, capital};
use time::{Duration, OffsetDateTime};

/// A gate in a list.
pub(super) struct GateLine {
    pub id: i64,
    pub href: String,
    pub name: String,
    /// "good", "amber", "red", or "missing".
    pub mark: &'static str,
    /// The same in words, for people who don't see the mark.
    pub sign: &'static str,
    /// "hold at 10 mph (4.5 m/s), no burn at 15 mph (6.7 m/s)".
    pub limits: String,
    /// "read by Zelda Quarrie at 9:51", or what is missing.
    pub read: String,
    /// What was read; empty if nothing was.
    pub value: String,
    pub needs_adopting: bool,
    /// What its field is called: "Wind, mph".
    pub unit_label: String,
    pub version: i64,
}

pub(super) fn mark(light: Light) -> &'static str {
    match light {
        Light::Good => "good",
        Light::Amber { .. } => "amber",
        Light::Red => "red",
        Light::Missing(_) => "missing",
    }
}

pub(super) fn sign(light: Light) -> &'static str {
    match light {
        Light::Good => "Good",
        Light::Amber { .. } => "Hold",
        Light::Red => "No burn",
        Light::Missing(_) => "Missing",
    }
}

impl GateLine {
    pub fn of(snapshot: &GateSnapshot, gate: &Gate, decision: Decision) -> Self {
        let light = snapshot.light(gate, decision);
        let latest = snapshot.counting(gate.id, decision).next();
        Self {
            id: gate.id,
            href: gate.href(),
            name: gate.details.name.clone(),
            mark: mark(light),
            sign: sign(light),
            limits: gate.details.says_limits(),
            read: read(snapshot, gate, latest, light),
            value: latest.map(|one| gate.details.says_value(one.noted.value)).unwrap_or_default(),
            needs_adopting: !gate.is_adopted(),
            unit_label: label(gate),
            version: gate.version,
        }
    }
}

fn read(snapshot: &GateSnapshot, gate: &Gate, latest: Option<&Reading>, light: Light) -> String {
    let Some(latest) = latest else { return format!("Not read yet. {} reads it.", capital(&gate.details.reader)) };
    let what = if latest.noted.is_forecast { "Forecast, noted" } else { "Read" };
    let said = format!("{what} by {} {}", latest.by, moment(snapshot, latest.noted.at));
    match light {
        Light::Missing(Why::Stale) => {
            let until = latest.noted.at + Duration::minutes(i64::from(gate.details.fresh));
            format!("{said}. Stale since {}: read it again.", moment(snapshot, until))
        }
        Light::Missing(Why::NotAdopted) => format!("{said}. Its limits are not adopted yet."),
        _ => said,
    }
}

/// "9:51 a.m.", with the day if it was another one.
pub(super) fn moment(snapshot: &GateSnapshot, at: OffsetDateTime) -> String {
    let zone = &snapshot.event.details.zone;
    let (wall, today) = (zone.wall(at), zone.today(snapshot.now));
    if wall.date() == today { Reader::App.time(wall.time()) } else { Reader::App.near_moment(wall, today) }
}

fn label(gate: &Gate) -> String {
    let own = gate.details.measure.unit();
    let unit = if own.is_empty() { gate.details.unit.as_str() } else { own };
    if unit.is_empty() { gate.details.name.clone() } else { format!("{}, {unit}", gate.details.name) }
}
