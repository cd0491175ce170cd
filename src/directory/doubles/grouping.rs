//! Which rows are compared at all.

use super::card::Card;
use std::collections::{HashMap, HashSet};

/// More rows than this with the same email or phone are an office or a family. They are
/// compared by name only.
const MANY: usize = 6;

/// Rows that have something in common. Comparing every row with every other would take
/// minutes for ten thousand.
pub(super) fn groups(cards: &[Card]) -> Vec<Vec<usize>> {
    let mut named: HashMap<String, Vec<usize>> = HashMap::new();
    let mut reached: HashMap<String, Vec<usize>> = HashMap::new();
    for (place, card) in cards.iter().enumerate() {
        for key in name_keys(card) {
            named.entry(key).or_default().push(place);
        }
        if !card.mail.is_empty() {
            reached.entry(format!("m{}", card.mail)).or_default().push(place);
        }
        if card.phone.len() >= 7 {
            reached.entry(format!("p{}", card.phone)).or_default().push(place);
        }
    }
    let few = reached.into_values().filter(|group| group.len() <= MANY);
    let mut all: Vec<Vec<usize>> = few.chain(named.into_values()).filter(|group| group.len() > 1).collect();
    // In the same order every time, whatever order the maps have.
    all.sort_by(|one, other| (one.len(), one).cmp(&(other.len(), other)));
    all
}

fn name_keys(card: &Card) -> HashSet<String> {
    let begin = |word: &str, letters: usize| word.chars().take(letters).collect::<String>();
    // The first letters of all words, in case each word has a typo.
    let mut keys = HashSet::from([card.words.iter().map(|word| begin(word, 3)).collect::<Vec<_>>().join("-")]);
    for (place, word) in card.words.iter().enumerate() {
        let others = card.words.iter().enumerate().filter(|(other, _)| *other != place);
        keys.extend(others.map(|(_, other)| format!("{word} {}", begin(other, 1))));
        if card.words.len() == 1 {
            keys.insert(word.clone());
        }
        if !card.organization.is_empty() && word.chars().count() > 1 {
            keys.insert(format!("{word} @{}", card.organization));
        }
    }
    keys
}
