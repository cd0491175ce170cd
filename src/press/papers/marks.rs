//! A release refers to the facts of its event by marks in its text, like
//! `{burn day}`. They are filled in wherever it is shown, so each fact is kept once
//! and a change is in every draft right away.

pub(super) const BURN_DAY: &str = "burn day";
pub(super) const TIME: &str = "time";
pub(super) const RAIN_DATE: &str = "rain date";
pub(super) const PHONE: &str = "contact phone";
pub(super) const MAIL: &str = "contact email";
pub(super) const PLACE: &str = "place";
pub(super) const WHAT_HAPPENS: &str = "what happens";
pub(super) const DEPARTMENT: &str = "department";
pub(super) const MESSAGES: &str = "messages";
/// `{other: March 3, 2019}` is a date or time that isn't the event's, on purpose.
const OTHER: &str = "other:";

/// A part of a text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Piece<'a> {
    Words(&'a str),
    /// The name between braces.
    Mark(&'a str),
    /// Printed as it is, and not checked.
    Other(&'a str),
}

/// A text cut into its words and marks.
pub(super) fn pieces(text: &str) -> Vec<Piece<'_>> {
    let mut all = Vec::new();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once('{') {
        // A brace that isn't closed on its line is just a brace.
        let Some((mark, next)) = after.split_once('}').filter(|(mark, _)| !mark.contains(['{', '\n'])) else { break };
        if !before.is_empty() {
            all.push(Piece::Words(before));
        }
        let mark = mark.trim();
        all.push(mark.strip_prefix(OTHER).map_or(Piece::Mark(mark), |words| Piece::Other(words.trim())));
        rest = next;
    }
    if !rest.is_empty() {
        all.push(Piece::Words(rest));
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_is_split_into_words_and_marks() {
        let text = "On {burn day} at { time }; not {other: March 3, 2019}.";
        let all = [
            Piece::Words("On "),
            Piece::Mark("burn day"),
            Piece::Words(" at "),
            Piece::Mark("time"),
            Piece::Words("; not "),
            Piece::Other("March 3, 2019"),
            Piece::Words("."),
        ];
        assert_eq!(pieces(text), all);
        assert_eq!(pieces("open { here"), [Piece::Words("open { here")]);
        assert_eq!(pieces(""), []);
    }
}
