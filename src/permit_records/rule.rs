//! How much notice an authority requires, and who asked.

use super::{DatesOnIt, RuleKind};
use crate::calc::notice;
use time::Date;

/// How much notice is required.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Rule {
    /// No one has asked the authority. It limits nothing, and nothing is assumed.
    NotAsked,
    /// The authority requires no notice.
    None(Learned),
    /// This many days before.
    Days { rule: notice::Rule, dates: DatesOnIt, learned: Learned },
}

/// Who in the department asked, and when.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Learned {
    pub by: String,
    pub on: Option<Date>,
}

impl Rule {
    #[must_use]
    pub fn kind(&self) -> RuleKind {
        match self {
            Self::NotAsked => RuleKind::NotAsked,
            Self::None(_) => RuleKind::None,
            Self::Days { .. } => RuleKind::Days,
        }
    }

    #[must_use]
    pub fn learned(&self) -> Option<&Learned> {
        match self {
            Self::NotAsked => None,
            Self::None(learned) | Self::Days { learned, .. } => Some(learned),
        }
    }
}
