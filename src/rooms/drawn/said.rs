//! A finding about the drawn rooms as a page shows it.

use crate::calc::layout::Grade;
use crate::rooms::Room;

/// A finding as a page shows it.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::rooms) struct Said {
    pub grade: Grade,
    /// For tests: the kind of finding.
    pub mark: &'static str,
    /// Its room; none if it is about both.
    pub room: Option<Room>,
    pub title: String,
    pub number: String,
    pub rests_on: &'static str,
    pub fix: String,
    /// What it is about.
    pub items: Vec<u64>,
}

impl Said {
    pub fn state(&self) -> &'static str {
        match self.grade {
            Grade::Wrong => "wrong",
            Grade::Look => "look",
            Grade::Good => "good",
        }
    }

    /// For those who can't see its sign.
    pub fn sign(&self) -> &'static str {
        match self.grade {
            Grade::Wrong => "To fix",
            Grade::Look => "To check",
            Grade::Good => "Fine",
        }
    }
}
