//! Finding the pairs.

use super::card::Card;
use super::comparing::compare;
use super::grouping::groups;
use super::reason::Reason;
use crate::people::Person;
use std::collections::HashSet;
use std::hash::BuildHasher;

/// In a group larger than this, only rows near each other in alphabetical order are compared.
const LARGE: usize = 200;
/// How many rows on: a list of placeholders must not take minutes.
const NEIGHBOURS: usize = 10;
/// How often a row is compared at most.
pub(super) const LOOKS: u32 = 300;
/// How many pairs to return, the likeliest.
pub const MOST_PAIRS: usize = 1_000;

/// Two rows that may be the same person, by number, with the reasons.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pair {
    pub one: i64,
    pub other: i64,
    pub reasons: Vec<Reason>,
    weight: u32,
}

/// The pairs, the likeliest first, without those someone marked as two people. None if
/// `is_stopped` says so. The time grows only in proportion to the rows, whatever they hold:
/// each row is compared at most 300 times, small groups first, since what few rows have in
/// common says the most.
#[must_use]
pub fn pairs<S: BuildHasher>(
    people: &[Person],
    two: &HashSet<(i64, i64), S>,
    is_stopped: impl Fn() -> bool,
) -> Option<Vec<Pair>> {
    search(people, two, is_stopped).map(|(found, _)| found)
}

/// The same, with how many comparisons it took.
pub(super) fn search<S: BuildHasher>(
    people: &[Person],
    two: &HashSet<(i64, i64), S>,
    is_stopped: impl Fn() -> bool,
) -> Option<(Vec<Pair>, u32)> {
    let cards: Vec<Card> = people.iter().map(Card::of).collect();
    let mut seen = HashSet::new();
    let mut looks = vec![0_u32; cards.len()];
    let mut found = Vec::new();
    for mut group in groups(&cards) {
        let near = near(group.len());
        if near < group.len() {
            group.sort_by(|one, other| cards[*one].name.cmp(&cards[*other].name));
        }
        for (place, one) in group.iter().enumerate() {
            if place % 64 == 0 && is_stopped() {
                return None;
            }
            for other in group[place + 1..].iter().take(near) {
                if looks[*one] >= LOOKS || looks[*other] >= LOOKS {
                    continue;
                }
                looks[*one] += 1;
                looks[*other] += 1;
                let (one, other) = (&cards[*one], &cards[*other]);
                let key = (one.id.min(other.id), one.id.max(other.id));
                let fresh = |_: &(Vec<Reason>, u32)| key.0 != key.1 && !two.contains(&key) && seen.insert(key);
                if let Some((reasons, weight)) = compare(one, other).filter(fresh) {
                    found.push(Pair { one: key.0, other: key.1, reasons, weight });
                }
            }
        }
        if found.len() > 2 * MOST_PAIRS {
            likeliest(&mut found);
        }
    }
    likeliest(&mut found);
    Some((found, looks.iter().sum::<u32>() / 2))
}

fn likeliest(found: &mut Vec<Pair>) {
    found.sort_by_key(|pair| (std::cmp::Reverse(pair.weight), pair.one, pair.other));
    found.truncate(MOST_PAIRS);
}

/// How many of the rows after it a row is compared with, in a group of this size.
fn near(group: usize) -> usize {
    if group > LARGE { NEIGHBOURS } else { group }
}
