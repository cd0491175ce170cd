//! How similar two names are.

use super::card::Card;

/// Names at least this similar (Jaro-Winkler) count if something else matches too.
const ALIKE: f64 = 0.92;

/// How similar two names are; none if they aren't.
pub(super) fn likeness(one: &Card, other: &Card) -> Option<f64> {
    if one.words == other.words {
        return Some(1.0);
    }
    if one.words.len() == other.words.len() && could_be_alike(one, other) {
        let likeness = strsim::jaro_winkler(&one.name, &other.name);
        // "Priya Okafor" isn't "Priya Okonkwo", even though they start the same: every word
        // must match one of the other name.
        let each = || one.words.iter().zip(&other.words).all(|(a, b)| strsim::jaro_winkler(a, b) >= 0.85);
        if likeness >= ALIKE && each() {
            return Some(likeness);
        }
    }
    initials(&one.words, &other.words).then_some(ALIKE)
}

/// Two typos change at most four letters. Counting letters is a hundred times faster than
/// comparing.
fn could_be_alike(one: &Card, other: &Card) -> bool {
    (one.letters ^ other.letters).count_ones() <= 4 && one.name.len().abs_diff(other.name.len()) <= 4
}

/// Do the names match if initials count? "P. Okafor" and "Priya Okafor", "Priya N. Okafor" and
/// "Priya Okafor": at least one whole word in common, and no word that conflicts.
fn initials(one: &[String], other: &[String]) -> bool {
    let has_initial = |words: &[String]| words.iter().any(|word| word.len() == 1);
    if one.len() == other.len() && !has_initial(one) && !has_initial(other) {
        return false;
    }
    let (few, many) = if one.len() <= other.len() { (one, other) } else { (other, one) };
    let mut left: Vec<&String> = many.iter().collect();
    let mut rest = Vec::new();
    for word in few {
        match left.iter().position(|other| *other == word) {
            Some(place) => drop(left.remove(place)),
            None => rest.push(word),
        }
    }
    let common = few.len() - rest.len();
    let common_long = few.iter().any(|word| word.chars().count() > 1 && many.contains(word));
    for word in &rest {
        let begins = |other: &&String| {
            let (short, long) = if word.len() <= other.len() {
                (word.as_str(), other.as_str())
            } else {
                (other.as_str(), word.as_str())
            };
            short.chars().count() == 1 && long.starts_with(short)
        };
        match left.iter().position(begins) {
            Some(place) => drop(left.remove(place)),
            None => return false,
        }
    }
    // A word left over may be a middle name, but only if two others match.
    common_long
        && (left.is_empty()
            || (left.iter().all(|word| word.chars().count() == 1) && few.len() >= 2 && common >= 1)
            || common >= 2)
}
