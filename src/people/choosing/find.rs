//! What is searched for among people.

use serde::Deserialize;

/// What someone did in any event, as a filter.
pub const PARTS: [(&str, &str); 5] = [
    ("guest", "guests"),
    ("crew", "crew"),
    ("lender", "lenders"),
    ("sponsor", "sponsors"),
    ("press contact", "press contacts"),
];

/// What a form with a chooser sends besides its own fields; a page's address may hold the
/// same.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Find {
    /// Words of the name, organization, office, email, or phone.
    pub find: String,
    /// One of [`PARTS`], or the role of an account.
    pub find_role: String,
    pub find_organization: String,
    /// The number of a qualification.
    pub find_skill: String,
    /// The number of an event they said yes to.
    pub find_yes: String,
    /// The words searched for when the page was shown.
    pub find_seen: String,
    /// The button: "look" to search, "all" to check everyone, or a page number.
    pub find_act: String,
}

impl Find {
    /// Did they use a button of the chooser, or press Enter in its field?
    #[must_use]
    pub fn is_looking(&self) -> bool {
        !self.find_act.is_empty() || self.find.trim() != self.find_seen.trim()
    }

    /// Are there no search words and no filters?
    #[must_use]
    pub fn is_empty(&self) -> bool {
        [&self.find, &self.find_role, &self.find_organization, &self.find_skill, &self.find_yes]
            .iter()
            .all(|text| text.trim().is_empty())
    }

    pub(super) fn number(text: &str) -> i64 {
        text.trim().parse().unwrap_or(0)
    }

    /// Counted from 0.
    pub(super) fn page(&self) -> usize {
        self.find_act.parse::<usize>().unwrap_or(1).clamp(1, 1_000_000) - 1
    }
}
