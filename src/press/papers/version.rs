//! A version of a release: what was approved, what it was made from, and who read it.

use super::changes::Change;
use super::check::check;
use super::kind::PaperKind;
use super::marks::BURN_DAY;
use super::paper_facts::PaperFacts;
use super::text::Draft;
use crate::events::Event;
use std::collections::BTreeMap;
use time::OffsetDateTime;

/// What was approved.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::press) struct Version {
    pub id: i64,
    pub paper_id: i64,
    pub kind: PaperKind,
    pub number: i64,
    /// Filled in, as it is sent.
    pub headline: String,
    pub text: String,
    pub embargo: String,
    /// What it was made from; not known if it is from before there were marks.
    pub made_from: Option<MadeFrom>,
    pub date_revision: i64,
    pub read: Read,
    pub approved_at: OffsetDateTime,
}

/// A text with its marks, and the facts they stood for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MadeFrom {
    pub headline: String,
    pub text: String,
    pub facts: BTreeMap<String, String>,
}

/// Who read a version before it went out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::press) enum Read {
    /// Someone else with an account.
    Account(String),
    /// Someone outside the app, by an emailed link.
    Link(String),
    /// Nobody but its editor; this person decided that.
    Nobody(String),
}

impl Read {
    /// As the store has it.
    pub const fn as_str(&self) -> &'static str {
        match self {
            Self::Account(_) => "account",
            Self::Link(_) => "link",
            Self::Nobody(_) => "nobody",
        }
    }

    /// "approved by Olga", "released unread by Olga".
    pub fn says(&self) -> String {
        match self {
            Self::Account(name) => format!("approved by {name}"),
            Self::Link(name) => format!("approved by {name} by email link"),
            Self::Nobody(name) => format!("released unread by {name}"),
        }
    }

    /// "No one else has read this."; empty if someone has.
    pub fn warning(&self) -> String {
        match self {
            Self::Account(_) | Self::Link(_) => String::new(),
            Self::Nobody(name) => format!("No one else has read this. {name} decided to release it anyway."),
        }
    }

    pub fn is_unread(&self) -> bool {
        matches!(self, Self::Nobody(_))
    }
}

impl Version {
    /// "media advisory v1"
    pub fn called(&self) -> String {
        format!("{} v{}", self.kind.label(), self.number)
    }

    /// The facts that have changed since. If its facts are not known, we only know
    /// whether the date has moved.
    pub fn changes(&self, event: &Event, facts: &PaperFacts) -> Vec<Change> {
        match &self.made_from {
            Some(made) => facts.changes(&made.facts),
            None if !self.kind.looks_back() && self.date_revision != event.date_revision => {
                vec![Change { mark: BURN_DAY.to_owned(), was: String::new(), is: facts.day(event.details.burn_on) }]
            }
            None => Vec::new(),
        }
    }

    /// Dates and times in it that are wrong, by the text it was made from.
    pub fn wrong(&self, facts: &PaperFacts) -> Vec<String> {
        let (headline, text) = match &self.made_from {
            Some(made) => (&made.headline, &made.text),
            None => (&self.headline, &self.text),
        };
        let draft = Draft { headline: headline.clone(), text: text.clone(), embargo: None };
        check(self.kind, &draft, facts).wrong
    }
}
