//! Whether a text is easy to understand, kind, and honest.
//!
//! The limits and the lists are common practice, no source.

use super::{Audience, jargon};
use crate::calc::reading::{Reading, longest_sentence};
use std::collections::HashMap;
use std::sync::LazyLock;

/// The highest Flesch-Kincaid grade of what children hear.
pub const CHILDREN_GRADE: f64 = 3.0;
/// The most words in a sentence that children hear.
pub const CHILDREN_SENTENCE: u32 = 10;
/// The highest Flesch-Kincaid grade of what adults hear.
pub const ADULT_GRADE: f64 = 6.0;

impl Audience {
    /// The highest Flesch-Kincaid grade. Children who listen along with adults have had lines of
    /// their own.
    #[must_use]
    pub const fn grade_limit(self) -> f64 {
        match self {
            Self::Children => CHILDREN_GRADE,
            Self::Adults | Self::All => ADULT_GRADE,
        }
    }

    /// The most words in a sentence, if there is a limit.
    #[must_use]
    pub const fn sentence_limit(self) -> Option<u32> {
        match self {
            Self::Children => Some(CHILDREN_SENTENCE),
            Self::Adults | Self::All => None,
        }
    }
}

/// What a check found.
#[derive(Debug, Clone, PartialEq)]
pub struct Checked {
    /// The words of the line.
    pub words: u32,
    /// In words.
    pub longest_sentence: u32,
    /// Flesch-Kincaid; none without words.
    pub grade: Option<f64>,
    /// In the order of the text.
    pub found: Vec<Found>,
}

/// Words that had better be others.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Found {
    /// Why another word is better.
    pub kind: Concern,
    /// As written.
    pub said: String,
    /// Other words, or what to say there.
    pub instead: &'static str,
}

/// Why a word had better be another.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Concern {
    /// A word of the trade.
    Jargon,
    /// For children in front. Adults may need to hear it.
    Frightening,
    /// More than anyone can promise beside a fire.
    Promise,
}

/// Checks a text. Of words that overlap, only the first and longest are found.
///
/// ```
/// use burnday::calc::talk::check;
///
/// let checked = check("The back-up line waits.");
/// assert_eq!((checked.words, checked.longest_sentence), (4, 4));
/// assert_eq!((&*checked.found[0].said, checked.found[0].instead), ("back-up line", "the second hose"));
/// ```
#[must_use]
pub fn check(text: &str) -> Checked {
    let reading = Reading::of(text);
    Checked {
        words: reading.words,
        longest_sentence: longest_sentence(text),
        grade: reading.grade(),
        found: find(text),
    }
}

/// Every list, by the letters of its words.
static LISTED: LazyLock<HashMap<String, (Concern, &'static str)>> = LazyLock::new(|| {
    let lists =
        [(Concern::Jargon, jargon::PLAIN), (Concern::Frightening, jargon::CALM), (Concern::Promise, jargon::HONEST)];
    let entries = lists.into_iter().flat_map(|(kind, list)| list.iter().map(move |entry| (kind, entry)));
    entries
        .flat_map(|(kind, (said, instead))| said.split(", ").map(move |said| (letters(said), (kind, *instead))))
        .collect()
});

/// The most words of the text that one entry can be.
const LONGEST: usize = 5;

fn find(text: &str) -> Vec<Found> {
    let words = words(text);
    let mut found = Vec::new();
    let mut rest = &words[..];
    while !rest.is_empty() {
        let joined = 1 + rest[1..].iter().take_while(|word| word.is_joined).count();
        let hit = (1..=joined.min(LONGEST)).rev().find_map(|count| {
            let said = &text[rest[0].from..rest[count - 1].until];
            listed(said).map(|(kind, instead)| (count, Found { kind, said: said.to_owned(), instead }))
        });
        let count = hit.as_ref().map_or(1, |(count, _)| *count);
        found.extend(hit.map(|(_, found)| found));
        rest = &rest[count..];
    }
    found
}

/// What is said in so many words, if it is on a list. Abbreviations count in capitals only: "co"
/// and "rit" are parts of other words. Not only a listed word counts but also what belongs to it:
/// "the victim's door".
fn listed(said: &str) -> Option<(Concern, &'static str)> {
    let owner = said.strip_suffix("'s").or_else(|| said.strip_suffix("’s"));
    let plural = said.strip_suffix('s');
    let is_named = |name: &str| said == name || owner == Some(name) || plural == Some(name);
    let abbreviation = jargon::ABBREVIATIONS.iter().find(|(name, _)| is_named(name));
    let abbreviation = abbreviation.map(|(_, instead)| (Concern::Jargon, *instead));
    let word = || [Some(said), owner].into_iter().flatten().find_map(|said| LISTED.get(&letters(said)).copied());
    abbreviation.or_else(word)
}

/// The letters of words that may be written together or apart. An apostrophe counts as one, for
/// "he'll" is no other word.
fn letters(said: &str) -> String {
    let kept = said.chars().filter(|c| is_letter(*c)).map(|c| if c == '’' { '\'' } else { c });
    kept.flat_map(char::to_lowercase).collect()
}

fn is_letter(c: char) -> bool {
    c.is_alphanumeric() || matches!(c, '\'' | '’')
}

/// Where a word is in a text.
struct Word {
    from: usize,
    until: usize,
    /// Only spaces, hyphens, or a slash are between it and the word before.
    is_joined: bool,
}

fn words(text: &str) -> Vec<Word> {
    let joins = |c: char| c.is_whitespace() || matches!(c, '-' | '‐' | '‑' | '/');
    let is_outer = |c: char| !c.is_alphanumeric();
    let (mut words, mut at, mut end) = (Vec::new(), 0, 0);
    for piece in text.split_inclusive(|c| !is_letter(c)) {
        let from = at + piece.len() - piece.trim_start_matches(is_outer).len();
        let until = at + piece.trim_end_matches(is_outer).len();
        at += piece.len();
        if from < until {
            words.push(Word { from, until, is_joined: text[end..from].chars().all(joins) });
            end = until;
        }
    }
    words
}

#[cfg(test)]
mod tests;
