//! Someone to thank: a person, or their deputy.

/// The suffix of a person's number that means their deputy.
const DEPUTY: &str = "-deputy";

/// Someone to thank: a person, or their deputy.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Whom {
    pub person_id: i64,
    /// Their deputy is meant.
    pub is_deputy: bool,
}

impl Whom {
    #[must_use]
    pub fn person(id: i64) -> Self {
        Self { person_id: id, is_deputy: false }
    }

    /// "12", or "12-deputy" for their deputy.
    #[must_use]
    pub fn key(self) -> String {
        format!("{}{}", self.person_id, if self.is_deputy { DEPUTY } else { "" })
    }

    /// Reads a key.
    #[must_use]
    pub fn of_key(key: &str) -> Option<Self> {
        let person = key.strip_suffix(DEPUTY);
        Some(Self { person_id: person.unwrap_or(key).parse().ok()?, is_deputy: person.is_some() })
    }
}

/// Someone who comes in another's place.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Deputy {
    pub name: String,
    /// May be empty.
    pub title: String,
}

impl Deputy {
    /// "Nell Harrow, deputy clerk".
    pub(super) fn says(&self) -> String {
        if self.title.is_empty() { self.name.clone() } else { format!("{}, {}", self.name, self.title) }
    }
}
