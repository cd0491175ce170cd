//! A text as people type it: headline, text and embargo, and its paragraphs.

use time::{Date, Time};

/// What is typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::press) struct Draft {
    pub headline: String,
    pub text: String,
    pub embargo: Option<(Date, Time)>,
}

impl Draft {
    /// Headline and text in one.
    pub fn whole(&self) -> String {
        format!("{}\n{}", self.headline, self.text)
    }
}

/// The paragraphs of a text, without empty ones.
pub(super) fn paragraphs(text: &str) -> impl Iterator<Item = &str> {
    text.split("\n\n").map(str::trim).filter(|part| !part.is_empty())
}

/// Does a paragraph say who to call?
pub(super) fn is_contact(paragraph: &str) -> bool {
    let label = paragraph.split_once(':').map(|(label, _)| label.trim().to_lowercase());
    label.is_some_and(|label| ["contact", "media contact", "press contact"].contains(&label.as_str()))
}
