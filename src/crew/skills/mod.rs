//! People's qualifications, and the proof of them.

pub(super) mod form;
pub(super) mod routes;
pub(super) mod store;

use crate::web::words::Reader;
use serde_json::{Value, json};
use std::collections::BTreeSet;
use time::{Date, OffsetDateTime};

/// A qualification people can hold.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Qualification {
    pub id: i64,
    pub name: String,
    /// Where the requirement comes from.
    pub basis: String,
    /// Anyone who holds this one also holds that one.
    pub counts_as: Option<i64>,
    pub version: i64,
}

/// What is stored about a qualification someone holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Kept {
    pub qualification_id: i64,
    pub evidence: String,
    pub issued_by: String,
    /// The last day it is valid.
    pub expires_on: Option<Date>,
}

/// A qualification someone holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Holding {
    pub id: i64,
    pub person_id: i64,
    pub kept: Kept,
    /// Who checked the proof, and when.
    pub checked: Option<(String, OffsetDateTime)>,
    pub version: i64,
}

impl Kept {
    fn snapshot(&self, name: &str) -> Value {
        json!({
            "qualification": name,
            "evidence": self.evidence,
            "issued by": self.issued_by,
            "holds until": self.expires_on.map(|on| Reader::App.day(on)),
        })
    }

    #[must_use]
    pub fn holds_on(&self, day: Date) -> bool {
        self.expires_on.is_none_or(|last| day <= last)
    }
}

/// This one and the ones it counts as.
pub(super) fn with_lesser(id: i64, known: &[Qualification]) -> BTreeSet<i64> {
    let mut all = BTreeSet::new();
    let mut next = Some(id);
    while let Some(id) = next.filter(|id| all.insert(*id)) {
        next = known.iter().find(|one| one.id == id).and_then(|one| one.counts_as);
    }
    all
}
