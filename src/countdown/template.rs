//! The plan a new event starts with: a readable file of tasks, with lead times
//! from common practice.

use super::{Days, Owner, Rain, Strand};
use crate::calc::calendar::Basis;
use crate::calc::plan::Lead;
use serde::Deserialize;
use std::sync::LazyLock;

/// A task in the template.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Entry {
    pub key: String,
    #[serde(deserialize_with = "word")]
    pub strand: Strand,
    pub title: String,
    pub takes: String,
    #[serde(deserialize_with = "word")]
    pub owner: Owner,
    /// Calendar days before burn day; negative after it.
    pub lead: i32,
    pub duration: u16,
    #[serde(deserialize_with = "word")]
    pub basis: Days,
    #[serde(deserialize_with = "word")]
    pub rain: Rain,
    pub after: Vec<After>,
}

/// A task it waits for.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct After {
    pub task: String,
    /// Calendar days.
    #[serde(default)]
    pub lag: u16,
}

#[derive(Deserialize)]
struct File {
    task: Vec<Entry>,
}

/// The key of burn day itself.
pub const BURN: &str = "burn";

static TASKS: LazyLock<Vec<Entry>> = LazyLock::new(|| {
    let file: File = toml::from_str(include_str!("template.toml")).expect("the template is checked by a test");
    file.task
});

/// The template's tasks, in order.
#[must_use]
pub fn tasks() -> &'static [Entry] {
    &TASKS
}

impl Entry {
    /// Its lead time in the form a plan uses.
    #[must_use]
    pub fn lead(&self) -> Lead {
        Lead { days: self.lead, basis: Basis::Calendar }
    }
}

/// The template's links: the indexes of the later and the earlier task, and the
/// calendar days of waiting between them.
pub fn links() -> impl Iterator<Item = (usize, usize, u16)> {
    TASKS.iter().enumerate().flat_map(|(later, entry)| {
        let place = |key: &str| place(key).expect("the template is checked by a test");
        entry.after.iter().map(move |after| (later, place(&after.task), after.lag))
    })
}

/// A task's index in the template.
#[must_use]
pub fn place(key: &str) -> Option<usize> {
    TASKS.iter().position(|entry| entry.key == key)
}

fn word<'de, D, T>(from: D) -> Result<T, D::Error>
where
    D: serde::Deserializer<'de>,
    T: std::str::FromStr<Err = String>,
{
    let text = String::deserialize(from)?;
    text.parse().map_err(|wrong| serde::de::Error::custom(format!("{text}: {wrong}")))
}

#[cfg(test)]
mod tests;
