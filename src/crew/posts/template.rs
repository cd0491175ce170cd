//! The positions a new crew starts with: a readable file with the numbers of common
//! practice.

use super::Details;
use crate::calc::duties::Duty;
use crate::crew::{Hours, Qualification};
use crate::events::{self, Format};
use serde::Deserialize;
use std::sync::LazyLock;

/// One crowd manager for this many people in the audience, at least this many of them, and
/// one media escort for this many reporters. Common practice.
pub const AUDIENCE_PER_STEWARD: u32 = 250;
pub const FEWEST_STEWARDS: u32 = 2;
pub const PRESS_PER_ESCORT: u32 = 5;

/// A qualification that positions of the template require.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Needed {
    pub name: String,
    pub basis: String,
    /// Another one that it also counts as.
    #[serde(default)]
    pub counts_as: String,
}

/// A position of the template.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Entry {
    duty: String,
    name: String,
    /// How many people with one room at a time, and with both at once.
    one: u16,
    both: u16,
    /// Minutes from ignition.
    from: i32,
    until: i32,
    spot: String,
    reports_to: String,
    wear: String,
    bring: String,
    #[serde(default)]
    cautions: String,
    #[serde(default)]
    critical: bool,
    #[serde(default)]
    needs: Vec<String>,
}

#[derive(Deserialize)]
struct File {
    qualification: Vec<Needed>,
    post: Vec<Entry>,
}

static FILE: LazyLock<File> =
    LazyLock::new(|| toml::from_str(include_str!("template.toml")).expect("the template is checked by a test"));

/// The qualifications that the positions require. One that others count as comes before
/// them.
#[must_use]
pub fn qualifications() -> &'static [Needed] {
    &FILE.qualification
}

/// How many crowd managers an audience needs by common practice.
#[must_use]
pub fn stewards(audience: Option<u32>) -> u16 {
    let wanted = audience.unwrap_or(0).div_ceil(AUDIENCE_PER_STEWARD).max(FEWEST_STEWARDS);
    u16::try_from(wanted.min(99)).unwrap_or(99)
}

/// How many media escorts this many reporters need by common practice.
#[must_use]
pub fn escorts(press: u32) -> u16 {
    u16::try_from(press.div_ceil(PRESS_PER_ESCORT).clamp(1, 99)).unwrap_or(99)
}

/// The positions for an event.
#[must_use]
pub fn posts(event: &events::Details, press: u32, known: &[Qualification]) -> Vec<Details> {
    let count = |entry: &Entry, duty: Duty| match duty {
        Duty::CrowdSteward => stewards(event.audience),
        Duty::MediaEscort => escorts(press),
        _ if event.format == Format::OneAtATime => entry.one,
        _ => entry.both,
    };
    let wanted = FILE.post.iter().filter_map(|entry| {
        let duty = entry.duty.parse::<Duty>().ok()?;
        let needed = count(entry, duty);
        let id = |name: &String| known.iter().find(|one| one.name.eq_ignore_ascii_case(name)).map(|one| one.id);
        (needed > 0).then(|| Details {
            duty,
            name: entry.name.clone(),
            needed,
            hours: hours(event, entry),
            spot: entry.spot.clone(),
            reports_to: entry.reports_to.clone(),
            wear: entry.wear.clone(),
            bring: entry.bring.clone(),
            cautions: entry.cautions.clone(),
            is_critical: entry.critical,
            needs: entry.needs.iter().filter_map(id).collect(),
        })
    });
    wanted.collect()
}

/// Counted from ignition, and not before midnight.
fn hours(event: &events::Details, entry: &Entry) -> Hours {
    let ignition = i32::from(event.burn_time.hour()) * 60 + i32::from(event.burn_time.minute());
    let minutes = |at: i32| u16::try_from((ignition + at).clamp(0, 24 * 60 * 2)).unwrap_or(0);
    let from = minutes(entry.from).min(24 * 60 - 1);
    Hours { from, until: minutes(entry.until).clamp(from + 15, from + 24 * 60) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_template_reads_and_names_only_what_there_is() {
        let names: Vec<&str> = qualifications().iter().map(|one| one.name.as_str()).collect();
        for (place, one) in qualifications().iter().enumerate() {
            assert!(one.counts_as.is_empty() || names[..place].contains(&one.counts_as.as_str()), "{}", one.name);
        }
        for post in &FILE.post {
            assert!(post.duty.parse::<Duty>().is_ok(), "{}", post.duty);
            assert!(post.from < post.until && post.both >= post.one, "{}", post.name);
            for need in &post.needs {
                assert!(names.contains(&need.as_str()), "{}: {need}", post.name);
            }
        }
        for duty in Duty::ALL {
            assert!(FILE.post.iter().any(|post| post.duty == duty.as_str()), "{duty}");
        }
    }

    #[test]
    fn stewards_and_escorts_follow_those_who_come() {
        let stewards_for =
            [(None, 2), (Some(0), 2), (Some(500), 2), (Some(501), 3), (Some(1_000), 4), (Some(9_000), 36)];
        for (audience, wanted) in stewards_for {
            assert_eq!(stewards(audience), wanted, "{audience:?}");
        }
        for (press, wanted) in [(0, 1), (5, 1), (6, 2), (23, 5)] {
            assert_eq!(escorts(press), wanted, "{press}");
        }
    }
}
