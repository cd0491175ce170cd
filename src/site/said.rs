//! A finding as a page shows it.

use super::store::Accepted;
use crate::calc::site::checks::Grade;

/// A finding as a page shows it.
#[derive(Debug, Clone, PartialEq)]
pub struct Shown {
    /// Names it as long as it is about the same things.
    pub key: String,
    pub grade: Grade,
    pub title: String,
    /// The number with its unit.
    pub number: String,
    pub rests_on: String,
    /// What would fix it; empty if nothing must be.
    pub fix: String,
    pub items: Vec<u32>,
    pub badness: f64,
    pub accepted: Option<Accepted>,
}

impl Shown {
    /// Does someone have to settle or accept it?
    #[must_use]
    pub fn is_open(&self) -> bool {
        self.grade <= Grade::Look && self.accepted.is_none()
    }

    /// May the safety officer accept it?
    #[must_use]
    pub fn can_be_accepted(&self) -> bool {
        self.grade <= Grade::Look
    }

    /// For scripts and tests.
    #[must_use]
    pub fn mark(&self) -> &'static str {
        match (self.grade, &self.accepted) {
            (Grade::Wrong | Grade::Look, Some(_)) => "accepted",
            (Grade::Wrong, None) => "wrong",
            (Grade::Look, None) => "look",
            (Grade::Unknown, _) => "unknown",
            (Grade::Good, _) => "good",
        }
    }

    /// For those who can't see its sign.
    #[must_use]
    pub fn sign(&self) -> &'static str {
        match self.mark() {
            "accepted" => "Accepted",
            "wrong" => "To fix",
            "look" => "To check",
            "unknown" => "Can't be checked yet",
            _ => "Fine",
        }
    }
}
