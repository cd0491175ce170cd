//! Condition records, and what changed between pickup and return. Pure: two records go in,
//! the differences come out.

use super::checklist::Accessory;
use serde::{Deserialize, Serialize};

/// How a part was found.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub enum Found {
    /// As it should be.
    Well,
    /// With a problem, in the words of whoever checked.
    Otherwise(String),
    NotLooked,
}

/// A part, and how it was found.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Looked {
    pub part: String,
    pub well: String,
    pub found: Found,
}

/// What one condition record says.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Condition {
    pub checks: Vec<Looked>,
    pub accessories: Vec<Accessory>,
}

/// What a difference means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Means {
    /// It was fine and isn't anymore.
    Damaged,
    /// Fewer came back than we picked up.
    Missing,
    /// It differs, but as far as the records show, nobody lost anything.
    Other,
}

impl Means {
    /// As a page marks it.
    #[must_use]
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Damaged => "damaged",
            Self::Missing => "missing",
            Self::Other => "other",
        }
    }
}

/// One difference between the two records.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Difference {
    /// The part or the accessory.
    pub what: String,
    /// Its condition or count at pickup and at return.
    pub then: String,
    pub now: String,
    pub says: String,
    pub means: Means,
}

const NOT_LOOKED: &str = "not checked";

impl Looked {
    /// "intact", "scratched", "not checked".
    #[must_use]
    pub fn says(&self) -> &str {
        match &self.found {
            Found::Well => &self.well,
            Found::Otherwise(words) => words,
            Found::NotLooked => NOT_LOOKED,
        }
    }

    fn was(&self) -> String {
        if self.found == Found::NotLooked { self.says().to_owned() } else { format!("was {}", self.says()) }
    }

    fn now(&self) -> String {
        match self.found {
            Found::NotLooked => "not checked now".to_owned(),
            Found::Well | Found::Otherwise(_) => format!("now {}", self.says()),
        }
    }
}

/// What changed between pickup and return: parts first, then counts, each in the order of
/// the list.
#[must_use]
pub fn differences(handed: &Condition, returned: &Condition) -> Vec<Difference> {
    let mut all: Vec<Difference> = Vec::new();
    for old in &handed.checks {
        let new = returned.checks.iter().find(|new| new.part == old.part);
        all.extend(new.map_or_else(|| only_then(old), |new| of_part(old, new)));
    }
    let added = returned.checks.iter().filter(|new| handed.checks.iter().all(|old| old.part != new.part));
    all.extend(added.filter(|new| matches!(new.found, Found::Otherwise(_))).map(|new| Difference {
        what: new.part.clone(),
        then: NOT_LOOKED.to_owned(),
        now: new.says().to_owned(),
        says: format!("{}: {}; not checked at pickup", new.part, new.now()),
        means: Means::Other,
    }));
    for old in &handed.accessories {
        let now = returned.accessories.iter().find(|new| new.name == old.name).map_or(0, |new| new.count);
        all.extend(of_count(&old.name, old.count, now));
    }
    let added = returned.accessories.iter().filter(|new| handed.accessories.iter().all(|old| old.name != new.name));
    all.extend(added.filter_map(|new| of_count(&new.name, 0, new.count)));
    all
}

fn only_then(old: &Looked) -> Option<Difference> {
    (old.found != Found::NotLooked).then(|| Difference {
        what: old.part.clone(),
        then: old.says().to_owned(),
        now: NOT_LOOKED.to_owned(),
        says: format!("{}: {}, not checked now", old.part, old.was()),
        means: Means::Other,
    })
}

fn of_part(old: &Looked, new: &Looked) -> Option<Difference> {
    let says = format!("{}: {}, {}", old.part, old.was(), new.now());
    let means = match (&old.found, &new.found) {
        (Found::NotLooked, Found::NotLooked | Found::Well) => return None,
        (Found::Well, Found::Well) if old.well == new.well => return None,
        (Found::Otherwise(was), Found::Otherwise(is)) if was.to_lowercase() == is.to_lowercase() => return None,
        (Found::Well, Found::Otherwise(_)) => Means::Damaged,
        // It was damaged before. Only someone who looks at both can say whether it is worse.
        _ => Means::Other,
    };
    let (then, now) = (old.says().to_owned(), new.says().to_owned());
    Some(Difference { what: old.part.clone(), then, now, says, means })
}

fn of_count(name: &str, then: u32, now: u32) -> Option<Difference> {
    let means = if now < then { Means::Missing } else { Means::Other };
    let says = format!("{name}: {then} at pickup, {now} at return");
    let (what, before, after) = (name.to_owned(), then.to_string(), now.to_string());
    (then != now).then_some(Difference { what, then: before, now: after, says, means })
}

#[cfg(test)]
mod tests;
