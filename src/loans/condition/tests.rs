//! What changed between pickup and return, and that nothing missing is overlooked.

use super::*;
use crate::loans::checklist::Accessory;
use proptest::prelude::*;

fn looked(part: &str, well: &str, found: Found) -> Looked {
    Looked { part: part.to_owned(), well: well.to_owned(), found }
}

fn accessory(name: &str, count: u32) -> Accessory {
    Accessory { name: name.to_owned(), count }
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
    let wanted = [differs("screen", "whole", "scratched", Means::Damaged), differs("remote", "1", "0", Means::Missing)];
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
