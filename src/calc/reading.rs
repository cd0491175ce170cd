//! How hard a text is to read: the Flesch reading ease, the Flesch-Kincaid grade
//! (Flesch 1948; Kincaid, Fishburne, Rogers and Chissom 1975), and SMOG.
//!
//! Authors count in different ways. Here:
//!
//! - A word is letters and digits with nothing between but an apostrophe, a
//!   hyphen, or a period, comma or colon between digits: "don't", "side-by-side"
//!   and "10:00" are one word each.
//! - A sentence ends with a period, question mark or exclamation mark before a
//!   space or the end, but not after a single letter or a short title or month, as
//!   in "Lt. Ruiz" or "Jan. 9". An empty line ends one too, so a heading counts as
//!   a sentence.
//! - A number counts as one syllable, as Flesch counted by hand. SMOG's authors
//!   pronounce it.
//! - Otherwise syllables are groups of vowels, less a silent e at the end. Some
//!   words are off by one; over a whole text the errors nearly cancel.

use crate::calc::letters::fold;

/// The counts of a text.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Reading {
    /// Words.
    pub words: u32,
    /// Sentences.
    pub sentences: u32,
    /// Syllables of all words.
    pub syllables: u32,
}

impl Reading {
    /// Counts a text.
    #[must_use]
    pub fn of(text: &str) -> Self {
        let mut found = Self::default();
        each_sentence(text, |words| {
            found.words += count(words.len());
            found.syllables += words.iter().map(|word| syllables(word)).sum::<u32>();
            found.sentences += 1;
        });
        found
    }

    /// 0.39 words per sentence + 11.8 syllables per word - 15.59; none without
    /// words.
    #[must_use]
    pub fn grade(&self) -> Option<f64> {
        let (length, weight) = self.averages()?;
        Some(0.39 * length + 11.8 * weight - 15.59)
    }

    /// 206.835 - 1.015 words per sentence - 84.6 syllables per word.
    #[must_use]
    pub fn ease(&self) -> Option<f64> {
        let (length, weight) = self.averages()?;
        Some(206.835 - 1.015 * length - 84.6 * weight)
    }

    fn averages(&self) -> Option<(f64, f64)> {
        let (words, sentences) = (f64::from(self.words), f64::from(self.sentences));
        (self.words > 0 && self.sentences > 0).then(|| (words / sentences, f64::from(self.syllables) / words))
    }
}

/// The number of sentences that SMOG needs. With fewer, its grade is uncertain.
pub const SMOG_SENTENCES: u32 = 30;

/// The SMOG grade of so many sentences with so many words of three or more
/// syllables. It is usually about two grades above Flesch-Kincaid. None without
/// sentences.
#[must_use]
pub fn smog(complex: u32, sentences: u32) -> Option<f64> {
    let in_sample = f64::from(complex) * f64::from(SMOG_SENTENCES) / f64::from(sentences);
    (sentences > 0).then(|| 1.0430 * in_sample.sqrt() + 3.1291)
}

/// SMOG's short form, from the words of three or more syllables in 30 sentences.
#[must_use]
pub fn smog_short(complex_in_30: u32) -> f64 {
    3.0 + f64::from(complex_in_30).sqrt()
}

/// Words of three or more syllables.
#[must_use]
pub fn complex_words(text: &str) -> u32 {
    let mut complex = 0;
    each_sentence(text, |words| complex += count(words.iter().filter(|word| syllables(word) >= 3).count()));
    complex
}

/// The words of the longest sentence.
#[must_use]
pub fn longest_sentence(text: &str) -> u32 {
    let mut longest = 0;
    each_sentence(text, |words| longest = longest.max(count(words.len())));
    longest
}

fn count(words: usize) -> u32 {
    u32::try_from(words).unwrap_or(u32::MAX)
}

/// Shows the words of each sentence, of which there is at least one.
fn each_sentence(text: &str, mut see: impl FnMut(&[&str])) {
    for part in text.replace("\r\n", "\n").split("\n\n") {
        let mut sentence = Vec::new();
        let mut pieces = part.split_whitespace().peekable();
        while let Some(piece) = pieces.next() {
            sentence.extend(words(piece));
            if !sentence.is_empty() && (pieces.peek().is_none() || ends(piece)) {
                see(&sentence);
                sentence.clear();
            }
        }
    }
}

/// The words in text without spaces.
fn words(piece: &str) -> impl Iterator<Item = &str> {
    let joins = |c: char| matches!(c, '\'' | '’' | '-' | '.' | ',' | ':');
    let apart = move |c: char| !c.is_alphanumeric() && !joins(c);
    let is_word = |part: &&str| part.contains(char::is_alphanumeric);
    piece.split(apart).flat_map(split_at_joints).map(move |part| part.trim_matches(joins)).filter(is_word)
}

/// A period, comma or colon joins digits, and a period joins the letters of "a.m.".
/// Otherwise it separates two words.
fn split_at_joints(part: &str) -> Vec<&str> {
    let letters: Vec<(usize, char)> = part.char_indices().collect();
    let mut pieces = Vec::new();
    let mut from = 0;
    for (place, (at, c)) in letters.iter().enumerate() {
        if !matches!(c, '.' | ',' | ':') {
            continue;
        }
        let before = place.checked_sub(1).map(|before| letters[before].1);
        let after = letters.get(place + 1).map(|(_, after)| *after);
        let is_number = before.is_some_and(char::is_numeric) && after.is_some_and(char::is_numeric);
        let is_short = *c == '.' && before.is_some_and(char::is_alphabetic) && part.len() <= 6;
        if !is_number && !is_short {
            pieces.push(&part[from..*at]);
            from = at + c.len_utf8();
        }
    }
    pieces.push(&part[from..]);
    pieces
}

/// Does a sentence end with this piece?
fn ends(piece: &str) -> bool {
    // AP style shortens these months beside a day, and "a.m." comes before one.
    const SHORT: [&str; 21] = [
        "mr", "mrs", "ms", "dr", "st", "lt", "capt", "sgt", "no", "vs", "approx", "jan", "feb", "aug", "sept", "oct",
        "nov", "dec", "a.m", "p.m", "u.s",
    ];
    let bare = piece.trim_end_matches(['"', '”', '’', '\'', ')', ']']);
    let Some(stem) = bare.strip_suffix(['.', '!', '?', '…']) else { return false };
    if !bare.ends_with('.') {
        return true;
    }
    let stem = stem.trim_start_matches(['"', '“', '‘', '\'', '(', '[']);
    let is_initial = stem.chars().count() == 1 && stem.chars().all(char::is_uppercase);
    !is_initial && !SHORT.contains(&stem.to_lowercase().as_str())
}

/// The syllables of a word, at least one.
#[must_use]
pub fn syllables(word: &str) -> u32 {
    if word.contains(|c: char| c.is_ascii_digit()) {
        return 1;
    }
    let parts = word.split(['-', '.']).filter(|part| !part.is_empty());
    parts.map(of_part).sum::<u32>().max(1)
}

fn of_part(part: &str) -> u32 {
    let letters: Vec<char> = fold(part).chars().filter(|c| c.is_alphabetic()).collect();
    let is_vowel = |c: char| "aeiouy".contains(c);
    let mut count = 0;
    let mut before = false;
    for &letter in &letters {
        let vowel = is_vowel(letter);
        count += u32::from(vowel && !before);
        before = vowel;
    }
    let text: String = letters.iter().collect();
    let ends = |ending: &str| text.ends_with(ending);
    let consonant_before = |ending: usize| {
        let place = letters.len().checked_sub(ending + 1);
        place.is_some_and(|place| !is_vowel(letters[place]))
    };
    // "stage" but not "table"; "moved" but not "started"; "rules" but not "houses".
    let bare = ends("e") && consonant_before(1) && !(ends("le") && consonant_before(2));
    let verb = ends("ed") && consonant_before(2) && !ends("ted") && !ends("ded");
    let hissing = ["ses", "zes", "xes", "ces", "ges", "ches", "shes"].iter().any(|ending| ends(ending));
    let plural = ends("es") && consonant_before(2) && !hissing && !(ends("les") && consonant_before(3));
    if count > 1 && (bare || verb || plural) {
        count -= 1;
    }
    // "media", "radio", "area".
    if count > 1 && ["ia", "io", "eo", "ea", "ium"].iter().any(|ending| ends(ending)) {
        count += 1;
    }
    count.max(1)
}

#[cfg(test)]
mod tests;
