//! Gates, their readings, and the light that comes of them.

use std::collections::BTreeMap;

/// A reading may be this far in the future, seconds: phones don't agree to the second. One that is
/// further ahead doesn't count until then.
const AHEAD: i64 = 60;

/// What one reading says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Grade {
    /// As it should be.
    Good,
    /// Hold, and look again.
    Amber,
    /// No burn.
    Red,
}

/// Which way a number gets worse.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Worse {
    /// The more, the worse: wind.
    Above,
    /// The less, the worse: water.
    Below,
}

/// What is read.
#[derive(Debug, Clone, PartialEq)]
pub enum Kind {
    /// A number with limits, in whatever unit the readings have. The limits themselves are amber
    /// and red: "10 mph or more is amber".
    Number {
        /// Amber from here on.
        amber: Option<f64>,
        /// Red from here on; wins over amber.
        red: Option<f64>,
        /// Which way it gets worse.
        worse: Worse,
    },
    /// Is it as it should be? Yes is good, and no is red.
    YesNo,
    /// One of these, each with what it means.
    Choice(Vec<Grade>),
}

/// Something that must be right before the fire is lit.
#[derive(Debug, Clone, PartialEq)]
pub struct Gate {
    /// The number of the gate.
    pub id: i64,
    /// What is read.
    pub kind: Kind,
    /// The safety officer has adopted its limits. Before that they are only common practice, and
    /// the gate counts as missing.
    pub adopted: bool,
    /// A reading counts for this many minutes, to the second.
    pub fresh_minutes: u32,
}

/// What somebody read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Value {
    /// Of [`Kind::Number`].
    Number(f64),
    /// Of [`Kind::YesNo`].
    Yes(bool),
    /// Of [`Kind::Choice`]: its place in the list, from 0.
    Choice(usize),
}

/// A reading of a gate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// When it was read, seconds since 1970 in UTC.
    pub at: i64,
    /// What it said.
    pub value: Value,
}

/// Why a gate is missing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Why {
    /// Nobody has read it, or the newest reading doesn't fit the gate.
    NoReading,
    /// It was good, too long ago.
    Stale,
    /// The safety officer hasn't adopted its limits.
    NotAdopted,
}

/// How a gate is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Light {
    /// As it should be.
    Good,
    /// Hold.
    Amber {
        /// The reading before the newest was amber too, and still counted when the newest, which is
        /// fresh, was read. If not, it has to
        /// be read again before anyone can sign go.
        again: bool,
    },
    /// No burn.
    Red,
    /// Nobody knows.
    Missing(Why),
}

/// What one reading turned a gate to; a moment's readings are one, the worst of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Turn {
    /// When it was read, seconds since 1970 in UTC.
    pub at: i64,
    /// What it said; none if it doesn't fit the gate.
    pub grade: Option<Grade>,
}

/// A gate at a moment.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GateNow {
    /// The number of the gate.
    pub id: i64,
    /// How it is.
    pub light: Light,
    /// How it was, oldest first. A go that is older than a worse reading is void even if the light
    /// is good again.
    pub turns: Vec<Turn>,
}

impl GateNow {
    /// A gate as its readings, in any order, have it at a moment.
    ///
    /// Only the newest counts, and of several in the same second the worst. A reading more than a
    /// minute ahead of `now` is ignored until then. If the newest doesn't fit the gate, because it
    /// isn't a finite number or the gate has another kind since, the gate is missing: older readings
    /// don't stand in for it. The same goes for limits that aren't finite.
    ///
    /// ```
    /// use burnday::calc::gates::{Gate, GateNow, Kind, Light, Reading, Value, Worse};
    ///
    /// let kind = Kind::Number { amber: Some(10.0), red: Some(15.0), worse: Worse::Above };
    /// let wind = Gate { id: 1, kind, adopted: true, fresh_minutes: 15 };
    /// let read = |at, mph| Reading { at, value: Value::Number(mph) };
    /// let now = GateNow::of(&wind, &[read(0, 8.0), read(300, 10.0)], 360);
    /// assert_eq!(now.light, Light::Amber { again: false });
    /// let now = GateNow::of(&wind, &[read(0, 8.0), read(300, 10.0), read(600, 11.0)], 660);
    /// assert_eq!(now.light, Light::Amber { again: true });
    /// ```
    #[must_use]
    pub fn of(gate: &Gate, readings: &[Reading], now: i64) -> Self {
        let mut worst: BTreeMap<i64, Option<Grade>> = BTreeMap::new();
        for reading in readings.iter().filter(|reading| reading.at <= now.saturating_add(AHEAD)) {
            let grade = grade(&gate.kind, reading.value);
            worst.entry(reading.at).and_modify(|known| *known = worse_of(*known, grade)).or_insert(grade);
        }
        let turns: Vec<Turn> = worst.into_iter().map(|(at, grade)| Turn { at, grade }).collect();
        Self { id: gate.id, light: shown(gate, &turns, now), turns }
    }
}

/// Just the light of [`GateNow::of`].
#[must_use]
pub fn light(gate: &Gate, readings: &[Reading], now: i64) -> Light {
    GateNow::of(gate, readings, now).light
}

/// What somebody who signs now sees.
#[must_use]
pub fn snapshot(gates: &[GateNow]) -> Vec<(i64, Light)> {
    gates.iter().map(|gate| (gate.id, gate.light)).collect()
}

fn shown(gate: &Gate, turns: &[Turn], now: i64) -> Light {
    if !gate.adopted {
        return Light::Missing(Why::NotAdopted);
    }
    let Some((newest, before)) = turns.split_last() else { return Light::Missing(Why::NoReading) };
    let fresh = i64::from(gate.fresh_minutes) * 60;
    let is_fresh = now.saturating_sub(newest.at) <= fresh;
    // A second look comes while the first still counts.
    let is_soon = |first: &Turn, second: &Turn| second.at.saturating_sub(first.at) <= fresh;
    match newest.grade {
        None => Light::Missing(Why::NoReading),
        Some(Grade::Red) => Light::Red,
        Some(Grade::Amber) => {
            let was_amber = before.last().is_some_and(|turn| turn.grade == Some(Grade::Amber) && is_soon(turn, newest));
            Light::Amber { again: is_fresh && was_amber }
        }
        Some(Grade::Good) if is_fresh => Light::Good,
        Some(Grade::Good) => Light::Missing(Why::Stale),
    }
}

/// None if the value doesn't fit.
fn grade(kind: &Kind, value: Value) -> Option<Grade> {
    match (kind, value) {
        (Kind::Number { amber, red, worse }, Value::Number(number)) => {
            let is_finite = [*amber, *red, Some(number)].into_iter().flatten().all(f64::is_finite);
            let reaches = |limit: Option<f64>| match worse {
                Worse::Above => limit.is_some_and(|limit| number >= limit),
                Worse::Below => limit.is_some_and(|limit| number <= limit),
            };
            is_finite.then(|| match (reaches(*amber), reaches(*red)) {
                (_, true) => Grade::Red,
                (true, false) => Grade::Amber,
                (false, false) => Grade::Good,
            })
        }
        (Kind::YesNo, Value::Yes(yes)) => Some(if yes { Grade::Good } else { Grade::Red }),
        (Kind::Choice(grades), Value::Choice(place)) => grades.get(place).copied(),
        _ => None,
    }
}

/// One that doesn't fit is worse than any but red.
fn worse_of(one: Option<Grade>, other: Option<Grade>) -> Option<Grade> {
    match (one, other) {
        (Some(Grade::Red), _) | (_, Some(Grade::Red)) => Some(Grade::Red),
        (None, _) | (_, None) => None,
        (one, other) => one.max(other),
    }
}
