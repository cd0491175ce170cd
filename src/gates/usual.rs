//! The gates that an event starts with.

use super::decision::Decision;
use super::gate::{Basis, Choice, Details};
use super::measure::Measure;
use crate::calc::gates::Worse;
use serde::Deserialize;
use std::sync::LazyLock;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Usual {
    name: String,
    look_at: String,
    measure: String,
    #[serde(default)]
    worse: String,
    amber: Option<f64>,
    red: Option<f64>,
    #[serde(default)]
    choices: Vec<Choice>,
    basis: String,
    #[serde(default)]
    source: String,
    reader: String,
    fresh: u32,
    decisions: Vec<String>,
}

#[derive(Deserialize)]
struct File {
    gate: Vec<Usual>,
}

static USUAL: LazyLock<Vec<Details>> = LazyLock::new(|| {
    let file: File = toml::from_str(include_str!("usual.toml")).expect("a test reads the usual gates");
    file.gate.into_iter().map(|usual| usual.details().expect("a test reads the usual gates")).collect()
});

/// All of them, in order.
#[must_use]
pub fn usual() -> &'static [Details] {
    &USUAL
}

impl Usual {
    fn details(self) -> Result<Details, String> {
        let measure: Measure = self.measure.parse()?;
        let decisions = self.decisions.iter().map(|name| name.parse()).collect::<Result<Vec<Decision>, _>>()?;
        Ok(Details {
            name: self.name,
            look_at: self.look_at,
            measure,
            unit: String::new(),
            worse: if self.worse == "below" { Worse::Below } else { Worse::Above },
            amber: self.amber,
            red: self.red,
            choices: self.choices,
            basis: self.basis.parse::<Basis>()?,
            source: self.source,
            reader: self.reader,
            fresh: self.fresh,
            decisions,
            permit_id: None,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_usual_gate_can_be_read_and_has_a_way_to_fail() {
        assert!(usual().len() >= 20);
        for gate in usual() {
            assert!(!gate.look_at.is_empty() && !gate.reader.is_empty() && !gate.decisions.is_empty(), "{gate:?}");
            assert_eq!(gate.measure.has_limits(), gate.red.is_some(), "{gate:?}");
            assert_eq!(gate.measure == Measure::Choice, gate.choices.len() > 1, "{gate:?}");
            assert_eq!(gate.basis == Basis::Published, !gate.source.is_empty(), "{gate:?}");
        }
    }
}
