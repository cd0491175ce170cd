//! The readings of one gate over the last hours, with its limits drawn in.

use super::gate::Gate;
use super::measure::in_both;
use super::reading::Reading;
use crate::web::words::tidy;
use time::{Duration, OffsetDateTime};

const WIDTH: f64 = 360.0;
const HEIGHT: f64 = 140.0;
const LEFT: f64 = 6.0;
const RIGHT: f64 = 350.0;
const TOP: f64 = 14.0;
const BOTTOM: f64 = 122.0;
/// How far back it goes, at most.
const HOURS: i64 = 6;

/// A small chart. Forecasts are not in it.
pub(super) struct Chart {
    pub width: f64,
    pub height: f64,
    pub bottom: f64,
    /// "6 hours ago", "now", and where they stand.
    pub from: String,
    pub line: String,
    pub points: Vec<(f64, f64)>,
    /// Where a limit is, its kind, and its label.
    pub limits: Vec<(f64, &'static str, String)>,
    pub says: String,
}

impl Chart {
    /// None if fewer than two numbers were read in the last hours.
    pub fn of(gate: &Gate, readings: &[&Reading], now: OffsetDateTime) -> Option<Self> {
        if !gate.details.measure.has_limits() {
            return None;
        }
        let since = now - Duration::hours(HOURS);
        let mut shown: Vec<&Reading> = readings.iter().copied().filter(|one| !one.noted.is_forecast).collect();
        shown.retain(|one| one.noted.at >= since && one.noted.at <= now);
        shown.sort_by_key(|one| one.noted.at);
        let first = shown.first().filter(|_| shown.len() > 1)?.noted.at;
        let limits = [(gate.details.amber, "hold"), (gate.details.red, "no burn")];
        let limits = limits.map(|(limit, name)| limit.map(|limit| (limit, name)));
        let values = shown.iter().map(|one| one.noted.value).chain(limits.iter().flatten().map(|(limit, _)| *limit));
        let (low, high) = values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)));
        let spread = (high - low).max(1.0);
        let y = |value: f64| tidy(BOTTOM - (value - low) / spread * (BOTTOM - TOP));
        let long = (now - first).as_seconds_f64().max(1.0);
        let x = |at: OffsetDateTime| tidy(LEFT + (at - first).as_seconds_f64() / long * (RIGHT - LEFT));
        let points: Vec<(f64, f64)> = shown.iter().map(|one| (x(one.noted.at), y(one.noted.value))).collect();
        let path = points.iter().enumerate().map(|(n, (x, y))| format!("{}{x} {y}", if n == 0 { "M" } else { "L" }));
        let says_limit = |(limit, name): (f64, &'static str)| {
            (
                y(limit),
                if name == "hold" { "amber" } else { "red" },
                format!("{name} {}", in_both(gate.details.measure, &gate.details.unit, limit)),
            )
        };
        let minutes = (now - first).whole_minutes();
        Some(Self {
            width: WIDTH,
            height: HEIGHT,
            bottom: BOTTOM,
            from: if minutes >= 120 { format!("{} hours ago", minutes / 60) } else { format!("{minutes} min ago") },
            line: path.collect(),
            limits: limits.into_iter().flatten().map(says_limit).collect(),
            says: format!(
                "{} readings of {} over the time shown, oldest first: {}",
                shown.len(),
                gate.details.name,
                said(gate, &shown)
            ),
            points,
        })
    }
}

fn said(gate: &Gate, shown: &[&Reading]) -> String {
    shown.iter().map(|one| gate.details.says_value(one.noted.value)).collect::<Vec<_>>().join(", ")
}
