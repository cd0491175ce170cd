//! A kind of thing in the journal, and today's words for the ones in its entries.

/// Puts a value into today's words.
pub type ReadValue = fn(&str) -> String;

/// A kind of thing that the journal has entries about. The slice that writes them says what
/// they are called. The store keeps the words of older versions, so that a word can change
/// without rewriting the past.
#[derive(Debug, Clone, Copy)]
pub struct Subject {
    /// What the store calls it.
    pub kind: &'static str,
    /// Where people look for it, as in "Loans".
    pub side: &'static str,
    /// What it is called before its name; empty where the verb or the name says it.
    pub called: &'static str,
    /// The same after a verb.
    pub called_after: &'static [(&'static str, &'static str)],
    /// Names that say the kind of thing themselves.
    pub says_its_kind: &'static [&'static str],
    /// There is one of it, which needs no name.
    pub is_the_only_one: bool,
    /// Older names with today's.
    pub titles: &'static [(&'static str, &'static str)],
    /// Its page, by the event and its number.
    pub address: Option<fn(i64, i64) -> String>,
    /// What was done: older words with today's. The kind of thing and its name follow.
    pub verbs: &'static [(&'static str, &'static str)],
    /// What a field is called: older words with today's.
    pub fields: &'static [(&'static str, &'static str)],
    /// Fields that say no more than the name does.
    pub hidden: &'static [&'static str],
    /// How to read the values of a field.
    pub reads: &'static [(&'static str, ReadValue)],
    /// The words for a choice: the field as the store calls it, of whatever it is a field,
    /// the choice, and what to show.
    pub values: &'static [(&'static str, &'static str, &'static str)],
}

impl Subject {
    /// A kind of thing whose words are all today's.
    #[must_use]
    pub const fn of(kind: &'static str, side: &'static str) -> Self {
        Self {
            kind,
            side,
            called: kind,
            called_after: &[],
            says_its_kind: &[],
            is_the_only_one: false,
            titles: &[],
            address: None,
            verbs: &[],
            fields: &[],
            hidden: &[],
            reads: &[],
            values: &[],
        }
    }

    /// What it is called in a sentence.
    pub(super) fn called(&self, verb: &str, title: &str) -> &'static str {
        if self.says_its_kind.contains(&title) {
            return "";
        }
        self.called_after.iter().find(|(after, _)| *after == verb).map_or(self.called, |(_, called)| called)
    }

    pub(super) fn title<'a>(&self, title: &'a str) -> &'a str {
        if self.is_the_only_one { "" } else { worded(self.titles, title).unwrap_or(title) }
    }
}

/// Today's word for an older one.
pub(super) fn worded(words: &[(&str, &'static str)], word: &str) -> Option<&'static str> {
    words.iter().find(|(old, _)| *old == word).map(|(_, new)| *new)
}
