//! Reads the tokens of a text one by one.

use super::Named;
use super::tokens::{Placed, Token};
use super::words::{month, weekday};
use time::{Month, Weekday};

pub(super) struct Reader<'a> {
    pub all: Vec<Placed<'a>>,
}

/// What was found, and the token after it.
pub(super) type Read = Option<(Vec<Named>, usize)>;

const JOINS: [char; 4] = ['-', '–', '/', '&'];

impl Reader<'_> {
    pub(super) fn token(&self, at: usize) -> Option<Token<'_>> {
        self.all.get(at).map(|placed| placed.token)
    }

    pub(super) fn number(&self, at: usize, most_digits: usize) -> Option<u32> {
        match self.token(at)? {
            Token::Number(digits) if digits.len() <= most_digits => digits.parse().ok(),
            _ => None,
        }
    }

    /// A number of this many digits with no space before it.
    pub(super) fn close(&self, at: usize, digits: std::ops::RangeInclusive<usize>) -> Option<u32> {
        match self.all.get(at)? {
            Placed { token: Token::Number(number), is_apart: false, .. } if digits.contains(&number.len()) => {
                number.parse().ok()
            }
            _ => None,
        }
    }

    pub(super) fn is_sign(&self, at: usize, sign: char) -> bool {
        matches!(self.token(at), Some(Token::Sign(found)) if found == sign)
    }

    pub(super) fn is_close_sign(&self, at: usize, sign: char) -> bool {
        self.is_sign(at, sign) && self.all.get(at).is_some_and(|placed| !placed.is_apart)
    }

    pub(super) fn is_word(&self, at: usize, words: &[&str]) -> bool {
        matches!(self.token(at), Some(Token::Word(found)) if words.iter().any(|word| found.eq_ignore_ascii_case(word)))
    }

    pub(super) fn month(&self, at: usize) -> Option<Month> {
        match self.token(at)? {
            Token::Word(word) => month(word),
            _ => None,
        }
    }

    pub(super) fn weekday(&self, at: usize) -> Option<Weekday> {
        match self.token(at)? {
            Token::Word(word) => weekday(word),
            _ => None,
        }
    }

    /// The token after "th" and the like.
    pub(super) fn past_ordinal(&self, at: usize) -> usize {
        let is_close = self.all.get(at).is_some_and(|placed| !placed.is_apart);
        if is_close && self.is_word(at, &["st", "nd", "rd", "th"]) { at + 1 } else { at }
    }

    pub(super) fn past_sign(&self, at: usize, sign: char) -> usize {
        if self.is_sign(at, sign) { at + 1 } else { at }
    }

    /// The token after what joins two dates or times: a dash, "to", "and", "or".
    pub(super) fn past_join(&self, at: usize) -> Option<usize> {
        let joins = JOINS.into_iter().any(|sign| self.is_sign(at, sign)) || self.is_word(at, &["to", "and", "or"]);
        joins.then_some(at + 1)
    }

    /// Is the number part of a word, as in "A4"?
    pub(super) fn follows_letters(&self, at: usize) -> bool {
        let is_close = self.all.get(at).is_some_and(|placed| !placed.is_apart);
        is_close && at.checked_sub(1).is_some_and(|before| matches!(self.token(before), Some(Token::Word(_))))
    }

    /// "a.m." or "p.m.": true for p.m., and the token after it.
    pub(super) fn half(&self, at: usize) -> Option<(bool, usize)> {
        for (whole, letter, is_late) in [("am", "a", false), ("pm", "p", true)] {
            if self.is_word(at, &[whole]) {
                return Some((is_late, at + 1));
            }
            if self.is_word(at, &[letter]) && self.is_sign(at + 1, '.') && self.is_word(at + 2, &["m"]) {
                return Some((is_late, self.past_sign(at + 3, '.')));
            }
        }
        None
    }

    pub(super) fn is_hours(&self, at: usize) -> bool {
        self.is_word(at, &["hours", "hrs", "h"])
    }
}
