//! Condition records, and what changed between pickup and return. Pure: two records go in,
//! the differences come out.

use super::Kind;
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
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn looked(part: &str, well: &str, found: Found) -> Looked {
        Looked { part: part.to_owned(), well: well.to_owned(), found }
    }

    fn otherwise(words: &str) -> Found {
        Found::Otherwise(words.to_owned())
    }

    fn clock(screen: Found, remotes: u32) -> Condition {
        Condition {
            checks: vec![looked("power", "comes on", Found::Well), looked("screen", "whole", screen)],
            accessories: vec![accessory("remote", remotes), accessory("cable", 2)],
        }
    }

    fn found(then: &Condition, now: &Condition) -> Vec<(String, String, String, Means)> {
        let found = differences(then, now).into_iter();
        found.map(|one| (one.what, one.then, one.now, one.means)).collect()
    }

    /// What differs, how it was, how it is, and what that means.
    fn differs(what: &str, then: &str, now: &str, means: Means) -> (String, String, String, Means) {
        (what.to_owned(), then.to_owned(), now.to_owned(), means)
    }

    #[test]
    fn a_clock_comes_back_scratched_and_without_its_remote() {
        let (then, now) = (clock(Found::Well, 1), clock(otherwise("scratched"), 0));
        let wanted =
            [differs("screen", "whole", "scratched", Means::Damaged), differs("remote", "1", "0", Means::Missing)];
        assert_eq!(found(&then, &now), wanted);
        for difference in differences(&then, &now) {
            let Difference { what, then, now, says, .. } = difference;
            assert!(says.contains(&what) && says.contains(&then) && says.contains(&now), "{says}");
        }
    }

    #[test]
    fn what_comes_back_as_it_went_differs_in_nothing() {
        assert_eq!(found(&clock(Found::Well, 1), &clock(Found::Well, 1)), []);
        let scratched = clock(otherwise("Scratched"), 1);
        assert_eq!(found(&scratched, &clock(otherwise("scratched"), 1)), []);
    }

    #[test]
    fn what_was_broken_before_is_nobodys_damage() {
        let scratched = clock(otherwise("scratched"), 1);
        let cracked = found(&scratched, &clock(otherwise("cracked"), 1));
        assert_eq!(cracked, [differs("screen", "scratched", "cracked", Means::Other)]);
        let mended = found(&scratched, &clock(Found::Well, 1));
        assert_eq!(mended, [differs("screen", "scratched", "whole", Means::Other)]);
    }

    #[test]
    fn what_nobody_looked_at_is_said_and_blamed_on_nobody() {
        let unseen = clock(Found::NotLooked, 1);
        let now = found(&clock(Found::Well, 1), &unseen);
        assert_eq!(now, [differs("screen", "whole", NOT_LOOKED, Means::Other)]);
        let then = found(&unseen, &clock(otherwise("scratched"), 1));
        assert_eq!(then, [differs("screen", NOT_LOOKED, "scratched", Means::Other)]);
        assert_eq!(found(&unseen, &clock(Found::Well, 1)), []);
    }

    #[test]
    fn a_list_that_was_changed_in_between_is_compared_by_name() {
        let mut now = clock(Found::Well, 1);
        now.checks.remove(1);
        now.checks.push(looked("case", "without marks", otherwise("dented")));
        now.accessories.remove(1);
        now.accessories.push(accessory("bag", 1));
        let wanted = [
            differs("screen", "whole", NOT_LOOKED, Means::Other),
            differs("case", NOT_LOOKED, "dented", Means::Other),
            differs("cable", "2", "0", Means::Missing),
            differs("bag", "0", "1", Means::Other),
        ];
        assert_eq!(found(&clock(Found::Well, 1), &now), wanted);
    }

    #[test]
    fn lists_read_back_as_they_are_typed() {
        for kind in Kind::ALL {
            let list = usual(kind);
            assert_eq!(read_checks(&list.typed_checks()), Ok(list.checks.clone()), "{kind}");
            assert_eq!(read_accessories(&list.typed_accessories()), Ok(list.accessories.clone()), "{kind}");
        }
        assert_eq!(read_checks("screen\n\n"), Ok(vec![check("screen", "in order")]));
        assert_eq!(read_accessories("remote"), Ok(vec![accessory("remote", 1)]));
        assert_eq!(read_accessories("cable: red: 3"), Ok(vec![accessory("cable: red", 3)]));
        for wrong in [": whole", "screen:", "screen: whole\nscreen: clean"] {
            assert!(read_checks(wrong).is_err(), "{wrong}");
        }
        for wrong in ["cable: many", "cable: 0", "cable: -1", ": 3", "remote\nremote: 2"] {
            assert!(read_accessories(wrong).is_err(), "{wrong}");
        }
        assert!(read_checks(&"x\n".repeat(21)).is_err());
        assert!(read_checks(&"x".repeat(81)).is_err());
    }

    fn any_found() -> impl Strategy<Value = Found> {
        prop_oneof![Just(Found::Well), Just(Found::NotLooked), "[a-z]{1,6}".prop_map(Found::Otherwise)]
    }

    fn any_condition() -> impl Strategy<Value = Condition> {
        let parts = prop::collection::btree_map("[a-e]", any_found(), 0..5);
        let counts = prop::collection::btree_map("[a-e]", 0_u32..4, 0..5);
        (parts, counts).prop_map(|(parts, counts)| Condition {
            checks: parts.into_iter().map(|(part, found)| looked(&part, "well", found)).collect(),
            accessories: counts.into_iter().map(|(name, count)| Accessory { name, count }).collect(),
        })
    }

    proptest! {
        #[test]
        fn nothing_differs_from_itself(condition in any_condition()) {
            let clean = differences(&condition, &condition);
            prop_assert!(clean.is_empty(), "{clean:?}");
        }

        /// Counted another way: an accessory is missing if its total went down.
        #[test]
        fn no_missing_thing_is_overlooked(then in any_condition(), now in any_condition()) {
            let count = |of: &Condition, name: &str| {
                of.accessories.iter().filter(|it| it.name == name).map(|it| it.count).sum::<u32>()
            };
            let fewer = ["a", "b", "c", "d", "e"].iter().filter(|name| count(&now, name) < count(&then, name)).count();
            let missing = differences(&then, &now).iter().filter(|d| d.means == Means::Missing).count();
            prop_assert_eq!(missing, fewer);
        }
    }
}
