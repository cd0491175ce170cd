//! A go/no-go check.

use super::decision::Decision;
use super::measure::{Measure, in_both};
use crate::calc::gates::Worse;
use crate::named::named;
use serde::{Deserialize, Serialize};
use time::OffsetDateTime;

named! {
    /// Where a gate's limits come from.
    Basis, "Choose where the limits come from.", BASES: [
        Published = "published",
        LocalDecision = "local decision",
        CommonPractice = "common practice",
    ]
}

named! {
    /// What a choice means for the burn.
    Grade, "Choose what it means.", GRADES: [
        Good = "good",
        Amber = "amber",
        Red = "red",
    ]
}

impl Grade {
    /// What it means, in words.
    #[must_use]
    pub const fn label(self) -> &'static str {
        match self {
            Self::Good => "good",
            Self::Amber => "hold",
            Self::Red => "no burn",
        }
    }
}

/// One of the words to choose from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Choice {
    pub name: String,
    #[serde(with = "grade")]
    pub grade: Grade,
}

/// A gate as entered.
#[derive(Debug, Clone, PartialEq)]
pub struct Details {
    pub name: String,
    /// What to look at.
    pub look_at: String,
    pub measure: Measure,
    /// The unit of a number that has none of its own.
    pub unit: String,
    pub worse: Worse,
    /// From here on: hold, and no burn.
    pub amber: Option<f64>,
    pub red: Option<f64>,
    pub choices: Vec<Choice>,
    pub basis: Basis,
    /// The standard with its edition, or whose decision it is.
    pub source: String,
    /// Who reads it.
    pub reader: String,
    /// How many minutes a reading counts.
    pub fresh: u32,
    pub decisions: Vec<Decision>,
    pub permit_id: Option<i64>,
}

/// Who adopted the limits, and when.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Adopted {
    pub by: String,
    pub at: OffsetDateTime,
}

/// A gate of an event.
#[derive(Debug, Clone, PartialEq)]
pub struct Gate {
    pub id: i64,
    pub event_id: i64,
    pub details: Details,
    pub adopted: Option<Adopted>,
    pub version: i64,
}

impl Details {
    /// Limits from common practice count as missing until the safety officer adopts them.
    #[must_use]
    pub fn needs_adopting(&self) -> bool {
        self.basis == Basis::CommonPractice
    }

    /// Do both ask the same of a reading?
    #[must_use]
    pub fn asks_the_same(&self, other: &Self) -> bool {
        let limits = |details: &Self| (details.measure, details.worse, details.amber, details.red, details.basis);
        limits(self) == limits(other) && self.choices == other.choices && self.unit == other.unit
    }

    /// "hold at 10 mph (4.5 m/s), no burn at 15 mph (6.7 m/s)".
    #[must_use]
    pub fn says_limits(&self) -> String {
        let says = |word: &str, limit: Option<f64>| {
            let limit = limit?;
            let below = if self.worse == Worse::Below { " or less" } else { "" };
            Some(format!("{word} at {}{below}", in_both(self.measure, &self.unit, limit)))
        };
        match self.measure {
            Measure::YesNo => "no burn until it is a yes".to_owned(),
            Measure::Choice => self.says_choices(),
            _ => [says("hold", self.amber), says("no burn", self.red)]
                .into_iter()
                .flatten()
                .collect::<Vec<_>>()
                .join(", "),
        }
    }

    /// What was read, in words: "7 mph (3.1 m/s)", "yes", "both flowing".
    #[must_use]
    pub fn says_value(&self, value: f64) -> String {
        match self.measure {
            Measure::YesNo => if value > 0.5 { "yes" } else { "no" }.to_owned(),
            Measure::Choice => self.choice(value).map(|choice| choice.name.clone()).unwrap_or_default(),
            measure => in_both(measure, &self.unit, value),
        }
    }

    /// The choice at a place counted from 0.
    pub(super) fn choice(&self, place: f64) -> Option<&Choice> {
        self.choices.iter().enumerate().find(|(at, _)| same(place, *at)).map(|(_, choice)| choice)
    }

    fn says_choices(&self) -> String {
        let bad = self.choices.iter().filter(|choice| choice.grade != Grade::Good);
        bad.map(|choice| format!("{}: {}", choice.grade.label(), choice.name)).collect::<Vec<_>>().join("; ")
    }
}

impl Gate {
    /// Does it count as it is?
    #[must_use]
    pub fn is_adopted(&self) -> bool {
        self.adopted.is_some() || !self.details.needs_adopting()
    }

    /// The address of its page.
    #[must_use]
    pub fn href(&self) -> String {
        format!("/events/{}/burn-day/gates/{}", self.event_id, self.id)
    }
}

/// Is it this place?
fn same(value: f64, place: usize) -> bool {
    u32::try_from(place).is_ok_and(|place| (value - f64::from(place)).abs() < 0.5)
}

/// A grade as its word.
mod grade {
    use super::Grade;
    use serde::de::Error;
    use serde::{Deserialize, Deserializer, Serializer};

    #[expect(clippy::trivially_copy_pass_by_ref, reason = "serde asks for it")]
    pub fn serialize<S: Serializer>(grade: &Grade, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(grade.as_str())
    }

    pub fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Grade, D::Error> {
        String::deserialize(from)?.parse().map_err(D::Error::custom)
    }
}
