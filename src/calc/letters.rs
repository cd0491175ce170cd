//! Letters reduced to what matters for comparing and counting them.

use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

/// Lowercase without accents, so that "tomas" finds "Tomás". Folding twice changes nothing more.
///
/// ```
/// use burnday::calc::letters::fold;
///
/// assert_eq!(fold("Tomás O’Neil"), "tomas o'neil");
/// ```
#[must_use]
pub fn fold(text: &str) -> String {
    if text.is_ascii() {
        return text.to_ascii_lowercase();
    }
    let mut folded = String::with_capacity(text.len());
    for letter in text.nfkd().filter(|letter| !is_combining_mark(*letter)).flat_map(char::to_lowercase) {
        // Letters that Unicode doesn't decompose.
        match letter {
            'ß' => folded.push_str("ss"),
            'æ' => folded.push_str("ae"),
            'œ' => folded.push_str("oe"),
            'þ' => folded.push_str("th"),
            'ø' => folded.push('o'),
            'đ' | 'ð' => folded.push('d'),
            'ł' => folded.push('l'),
            'ħ' => folded.push('h'),
            'ı' => folded.push('i'),
            // The lowercase of İ is an i and a combining dot above.
            '\u{307}' => {}
            '\u{2019}' => folded.push('\''),
            letter => folded.push(letter),
        }
    }
    folded
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn accents_and_capitals_are_dropped() {
        for (text, folded) in [
            ("Tomás Brandt", "tomas brandt"),
            ("TOMA\u{301}S", "tomas"),
            ("Łukasz Bjørk-Đorđe", "lukasz bjork-dorde"),
            ("Straße", "strasse"),
            ("İpek Ișık", "ipek isik"),
            ("Ａｌｄｅｒ", "alder"),
            ("O’Neil", "o'neil"),
            ("Ærø", "aero"),
        ] {
            assert_eq!(fold(text), folded, "{text}");
        }
    }
}
