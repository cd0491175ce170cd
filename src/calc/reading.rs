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
mod tests {
    use super::*;
    use serde_json::Value;

    /// The lowest grade there can be, -3.40, is published; 116 and 121 are the
    /// widely quoted values of ease for their sentences; the rest is worked out
    /// from the formulas.
    #[test]
    fn the_formulas_give_the_published_values() {
        for (words, sentences, syllables, ease, grade) in [
            (1, 1, 1, 121.22, -3.40),
            (6, 1, 6, 116.145, -1.45),
            (13, 1, 24, 37.455, 11.265),
            (100, 5, 150, 59.635, 9.91),
        ] {
            let counted = Reading { words, sentences, syllables };
            let (found_ease, found_grade) = (counted.ease().unwrap(), counted.grade().unwrap());
            assert!((found_ease - ease).abs() < 0.001, "{found_ease} is not {ease}");
            assert!((found_grade - grade).abs() < 0.001, "{found_grade} is not {grade}");
        }
        assert_eq!(Reading::default().grade(), None);
    }

    #[test]
    fn whole_sentences_are_counted_as_published() {
        assert_eq!(Reading::of("Go."), Reading { words: 1, sentences: 1, syllables: 1 });
        let cat = Reading::of("The cat sat on the mat.");
        assert_eq!(cat, Reading { words: 6, sentences: 1, syllables: 6 });
        let platypus = Reading::of("The Australian platypus is seemingly a hybrid of a mammal and reptilian creature.");
        assert_eq!(platypus, Reading { words: 13, sentences: 1, syllables: 24 });
    }

    /// Published tables of SMOG's short form, which cut off after two decimals; the long form is
    /// worked out from its formula. The nearest square to 67 is 64, so that the
    /// method by hand gives 11: from memory.
    #[test]
    fn smog_gives_the_published_values() {
        for (complex, grade) in [(4, 5), (9, 6), (16, 7), (25, 8), (36, 9), (49, 10), (64, 11), (81, 12)] {
            assert!((smog_short(complex) - f64::from(grade)).abs() < 1e-12, "{complex}");
        }
        let table = [(30, 8.47), (60, 10.74), (90, 12.48), (120, 13.95), (150, 15.24), (180, 16.41), (210, 17.49)];
        for (complex, grade) in table {
            assert!(((smog_short(complex) * 100.0).floor() / 100.0 - grade).abs() < 1e-12, "{complex}");
        }
        assert!((smog_short(80) - 11.944).abs() < 5e-4);
        assert!((smog_short(67).round() - 11.0).abs() < 1e-12);
        for (complex, grade) in [(64, 11.473), (80, 12.458)] {
            assert!((smog(complex, 30).unwrap() - grade).abs() < 5e-4, "{complex}");
        }
        // As many to a sentence: 32 in 15 are 64 in 30.
        assert_eq!(smog(32, 15), smog(64, SMOG_SENTENCES));
        assert_eq!((smog(0, 30), smog(3, 0)), (Some(3.1291), None));
    }

    #[test]
    fn long_words_and_sentences_are_found() {
        assert_eq!(complex_words("A sprinkler is automatic. Firefighters are volunteers, 1,200 of them."), 3);
        assert_eq!(complex_words("Get low and go."), 0);
        assert_eq!(longest_sentence("Get low. Go out, and stay out! Call."), 5);
        assert_eq!(longest_sentence("A heading of five words\n\nGo."), 5);
        assert_eq!(longest_sentence(""), 0);
    }

    #[test]
    fn words_and_sentences_are_counted_apart() {
        let counts = |text: &str| {
            let found = Reading::of(text);
            (found.words, found.sentences)
        };
        assert_eq!(counts(""), (0, 0));
        assert_eq!(counts("###"), (0, 0));
        assert_eq!(counts("Don't wait; it's a side-by-side burn."), (6, 1));
        assert_eq!(counts("Come at 10:00. Call 555-0117 or write!"), (7, 2));
        assert_eq!(counts("Ask Lt. J. Ruiz. He knows."), (6, 2));
        assert_eq!(counts("It burns at 10 a.m. Saturday, Jan. 9. Come."), (9, 2));
        assert_eq!(counts("A heading\n\nA line of text.\n\nWho: we"), (8, 3));
        assert_eq!(counts("It costs 1,200.50 dollars"), (4, 1));
        assert_eq!(counts("“Is it hot?” she asked."), (5, 2));
        assert_eq!(counts("one,two"), (2, 1));
    }

    /// Against the CMU Pronouncing Dictionary: `tests/reference/reading.py`.
    #[test]
    fn syllables_agree_with_the_dictionary_nine_times_in_ten() {
        let known: Value = serde_json::from_str(include_str!("../../tests/reference/reading.json")).unwrap();
        let (mut all, mut right, mut ours, mut theirs) = (0_u32, 0_u32, 0_u32, 0_u32);
        let mut wrong = Vec::new();
        for row in known["syllables"].as_array().unwrap() {
            let word = row[0].as_str().unwrap();
            let said = row[1].as_array().unwrap().iter().map(|n| u32::try_from(n.as_u64().unwrap()).unwrap());
            let said: Vec<u32> = said.collect();
            let found = syllables(word);
            all += 1;
            ours += found;
            if said.contains(&found) {
                theirs += found;
                right += 1;
            } else {
                theirs += said[0];
                wrong.push(format!("{word} {found} {said:?}"));
            }
        }
        assert!(all > 350, "{all}");
        assert!(f64::from(right) / f64::from(all) > 0.9, "{right} of {all}: {wrong:?}");
        let off = (f64::from(ours) - f64::from(theirs)).abs() / f64::from(theirs);
        assert!(off < 0.02, "{ours} against {theirs}: {wrong:?}");
    }
}
