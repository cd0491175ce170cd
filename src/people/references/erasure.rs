//! Whose personal data is erased.

use serde_json::json;
use time::OffsetDateTime;

/// Someone whose personal data is erased, with what identifies them.
#[derive(Debug, Clone)]
pub struct Erasure {
    /// All records of this person: their own, and those merged into it.
    pub rows: Vec<i64>,
    /// Their names, emails, and phone numbers, wherever someone typed one. None is empty.
    pub words: Vec<String>,
    /// What they are called from now on.
    pub called: String,
    pub now: OffsetDateTime,
}

impl Erasure {
    /// The records as a JSON array, for statements.
    #[must_use]
    pub fn rows_json(&self) -> String {
        json!(self.rows).to_string()
    }

    /// The words as a JSON array, for statements.
    #[must_use]
    pub fn words_json(&self) -> String {
        json!(self.words).to_string()
    }
}
