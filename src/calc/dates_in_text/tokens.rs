//! A text in numbers, words, and signs.

#[derive(Debug, Clone, Copy)]
pub(super) enum Token<'a> {
    Number(&'a str),
    Word(&'a str),
    Sign(char),
}

#[derive(Debug, Clone, Copy)]
pub(super) struct Placed<'a> {
    pub token: Token<'a>,
    pub start: usize,
    pub end: usize,
    /// There is a space before it.
    pub is_apart: bool,
}

pub(super) fn tokens(text: &str) -> Vec<Placed<'_>> {
    let mut all = Vec::new();
    let mut letters = text.char_indices().peekable();
    let mut is_apart = true;
    while let Some((start, letter)) = letters.next() {
        if letter.is_whitespace() {
            is_apart = true;
            continue;
        }
        let same: fn(char) -> bool = if letter.is_ascii_digit() {
            |c| c.is_ascii_digit()
        } else if letter.is_alphabetic() {
            char::is_alphabetic
        } else {
            |_| false
        };
        while letters.next_if(|(_, next)| same(*next)).is_some() {}
        let end = letters.peek().map_or(text.len(), |(place, _)| *place);
        let part = &text[start..end];
        let token = if letter.is_ascii_digit() {
            Token::Number(part)
        } else if letter.is_alphabetic() {
            Token::Word(part)
        } else {
            Token::Sign(letter)
        };
        all.push(Placed { token, start, end, is_apart });
        is_apart = false;
    }
    all
}
