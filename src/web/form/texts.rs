//! Texts and names as people type them.

use unicode_normalization::UnicodeNormalization;

/// A line of text, trimmed, that must not be empty.
///
/// # Errors
/// What to tell the person who typed it.
pub fn line(text: &str, most: usize) -> Result<String, String> {
    let text = optional_line(text, most)?;
    if text.is_empty() { Err("Fill this in.".to_owned()) } else { Ok(text) }
}

/// A line of text, trimmed, that may be empty.
///
/// # Errors
/// What to tell the person who typed it.
pub fn optional_line(text: &str, most: usize) -> Result<String, String> {
    if text.contains(['\n', '\r', '\u{2028}', '\u{2029}']) {
        return Err("Keep this on one line.".to_owned());
    }
    paragraph(text, most)
}

/// Text of several lines, trimmed, that may be empty.
///
/// # Errors
/// What to tell the person who typed it.
pub fn paragraph(text: &str, most: usize) -> Result<String, String> {
    let text: String = text.replace("\r\n", "\n").trim().nfc().filter(|c| !is_unseen(*c)).collect();
    let text = text.trim().to_owned();
    let length = text.chars().count();
    if length > most {
        return Err(format!("This has {length} characters. Shorten it to {most} or fewer."));
    }
    if text.contains(|c: char| c.is_control() && c != '\n') {
        return Err("This has a character that can't be shown. Type it instead of pasting it.".to_owned());
    }
    Ok(text)
}

/// Invisible characters that could make a text look like another: text directions, and
/// characters without width that don't join letters.
fn is_unseen(c: char) -> bool {
    matches!(c, '\u{ad}' | '\u{61c}' | '\u{200b}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}'
        | '\u{2060}'..='\u{2064}' | '\u{2066}'..='\u{2069}' | '\u{feff}')
}

/// Someone's name. Mail programs turn anything that looks like an address into a link, so a
/// name can't look like one.
///
/// # Errors
/// What to tell the person who typed it.
pub fn name(text: &str, most: usize) -> Result<String, String> {
    let joiners = ['\u{200c}', '\u{200d}'];
    let name = line(&text.replace(joiners, ""), most)?;
    if is_like_an_address(&name) {
        return Err("A name can't be a web or email address. Put a space after each period.".to_owned());
    }
    Ok(name)
}

/// The same for a name that may be left out.
///
/// # Errors
/// What to tell the person who typed it.
pub fn optional_name(text: &str, most: usize) -> Result<String, String> {
    if text.trim().is_empty() { Ok(String::new()) } else { name(text, most) }
}

/// "evil.example/login", "www.x.org", "a@x": a dot between two letters with no space
/// after it, unless the letters are initials, as in "J.R. Holt"; or an at sign
/// between two.
fn is_like_an_address(name: &str) -> bool {
    let letters = |part: &str| part.chars().filter(|c| c.is_alphanumeric()).count();
    let has = |word: &str, sign: char, least: usize| {
        let parts: Vec<&str> = word.split(sign).collect();
        parts.windows(2).any(|pair| letters(pair[0]) > 0 && letters(pair[1]) >= least)
    };
    name.contains("://") || name.split_whitespace().any(|word| has(word, '.', 2) || has(word, '@', 1))
}
