//! What is checked and counted at pickup and at return: the standard lists, and how they are
//! typed.

use super::choices::Kind;
use serde::{Deserialize, Serialize};

/// Something to check: the part, and how it should be, as in "screen" and "intact".
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Check {
    pub part: String,
    pub well: String,
}

/// Something that comes with the item and is counted.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Accessory {
    pub name: String,
    pub count: u32,
}

/// What is checked and counted at pickup and at return.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Checklist {
    pub checks: Vec<Check>,
    pub accessories: Vec<Accessory>,
}

/// Parts with how they should be, and accessories with their number.
type Usual = (&'static [(&'static str, &'static str)], &'static [(&'static str, u32)]);

/// The standard checklist of a type: common practice, to be edited for each loan.
#[must_use]
pub fn usual(kind: Kind) -> Checklist {
    let (checks, accessories): Usual = match kind {
        Kind::Clock => (
            &[("power", "working"), ("counting", "correct up and down"), ("screen", "intact"), ("case", "unmarked")],
            &[("remote", 1), ("power cord", 1)],
        ),
        Kind::Timers => (&[("counting", "correct"), ("screen", "intact")], &[("spare battery", 1)]),
        Kind::Sound => (
            &[("power", "working"), ("speakers", "clear"), ("microphones", "clear"), ("cases", "unmarked")],
            &[("microphone", 2), ("speaker", 2), ("stand", 2), ("cable", 4)],
        ),
        Kind::Radios => (&[("voices", "clear both ways"), ("cases", "intact")], &[("radio", 6), ("charger", 6)]),
        Kind::Barriers => (&[("locks", "working"), ("frames", "straight")], &[("barrier", 24)]),
        Kind::Power => (
            &[("engine", "working"), ("output", "steady under load"), ("tank and hoses", "dry")],
            &[("cable", 2), ("fuel can", 1)],
        ),
        Kind::Seats => (&[("legs", "sturdy"), ("tops", "clean")], &[("table", 1), ("chair", 4)]),
        Kind::Other => (&[("body", "intact"), ("surface", "clean")], &[]),
    };
    Checklist {
        checks: checks.iter().map(|(part, well)| check(part, well)).collect(),
        accessories: accessories.iter().map(|(name, count)| accessory(name, *count)).collect(),
    }
}

fn check(part: &str, well: &str) -> Check {
    Check { part: part.to_owned(), well: well.to_owned() }
}

fn accessory(name: &str, count: u32) -> Accessory {
    Accessory { name: name.to_owned(), count }
}

/// Nobody works through a list longer than this.
const MOST: usize = 20;

impl Checklist {
    /// The parts as they are typed: one per line, "screen: intact".
    #[must_use]
    pub fn typed_checks(&self) -> String {
        self.checks.iter().map(|check| format!("{}: {}", check.part, check.well)).collect::<Vec<_>>().join("\n")
    }

    /// The accessories as they are typed: one per line, "cable: 3".
    #[must_use]
    pub fn typed_accessories(&self) -> String {
        self.accessories.iter().map(|it| format!("{}: {}", it.name, it.count)).collect::<Vec<_>>().join("\n")
    }
}

/// Reads the parts to check, one per line.
///
/// # Errors
/// What to tell the person who typed it.
pub fn read_checks(text: &str) -> Result<Vec<Check>, String> {
    let mut checks: Vec<Check> = Vec::new();
    for line in lines(text)? {
        let (part, well) = line.split_once(':').unwrap_or((line, "in order"));
        let (part, well) = (part.trim(), well.trim());
        if part.is_empty() || well.is_empty() {
            return Err(format!("Write the part, a colon and how it should be, as in “screen: intact”. Fix “{line}”."));
        }
        if checks.iter().any(|known| known.part == part) {
            return Err(format!("“{part}” is listed twice. Remove one."));
        }
        checks.push(check(part, well));
    }
    Ok(checks)
}

/// Reads the accessories to count, one per line.
///
/// # Errors
/// What to tell the person who typed it.
pub fn read_accessories(text: &str) -> Result<Vec<Accessory>, String> {
    let mut all: Vec<Accessory> = Vec::new();
    for line in lines(text)? {
        let (name, count) = line.rsplit_once(':').unwrap_or((line, "1"));
        let name = name.trim();
        let count = count.trim().parse().ok().filter(|count| (1..=1_000).contains(count));
        let (false, Some(count)) = (name.is_empty(), count) else {
            return Err(format!("Write the name, a colon and how many, as in “cable: 3”. Fix “{line}”."));
        };
        if all.iter().any(|known| known.name == name) {
            return Err(format!("“{name}” is listed twice. Remove one."));
        }
        all.push(accessory(name, count));
    }
    Ok(all)
}

fn lines(text: &str) -> Result<Vec<&str>, String> {
    let lines: Vec<&str> = text.lines().map(str::trim).filter(|line| !line.is_empty()).collect();
    if lines.len() > MOST {
        return Err(format!("This has {} lines. Use at most {MOST}.", lines.len()));
    }
    match lines.iter().find(|line| line.chars().count() > 80) {
        Some(long) => Err(format!("One line is {} characters long. Use at most 80.", long.chars().count())),
        None => Ok(lines),
    }
}

#[cfg(test)]
mod tests;
