//! What is wrong with a form, field by field.

use std::collections::BTreeMap;

/// What is wrong with a form, by field.
#[derive(Debug, Default, Clone, PartialEq, Eq)]
pub struct Mistakes(BTreeMap<&'static str, String>);

impl Mistakes {
    /// Notes what is wrong with a field; only the first mistake counts.
    pub fn add(&mut self, field: &'static str, what: impl Into<String>) {
        self.0.entry(field).or_insert_with(|| what.into());
    }

    /// Returns the value, or notes the mistake.
    pub fn note<T>(&mut self, field: &'static str, read: Result<T, String>) -> Option<T> {
        read.map_err(|what| self.add(field, what)).ok()
    }

    /// These and the others; the first about each field stays.
    #[must_use]
    pub fn and(mut self, others: Self) -> Self {
        for (field, what) in others.0 {
            self.add(field, what);
        }
        self
    }

    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    #[must_use]
    pub fn count(&self) -> usize {
        self.0.len()
    }

    /// What is wrong with this field; empty if nothing is.
    #[must_use]
    pub fn of(&self, field: &str) -> &str {
        self.0.get(field).map_or("", String::as_str)
    }
}
