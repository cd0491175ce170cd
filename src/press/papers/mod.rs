//! Advisories and releases: their texts refer to the event's facts by marks.
//! Somebody else approves one, which freezes it with its facts; it is mailed to
//! each contact alone, and corrected once a fact is another.

mod before_sending;
mod check;
mod corrections;
mod draft;
mod holders;
mod letter;
mod marks;
mod moved;
mod old_texts;
pub(super) mod readings;
mod refusals;
mod routes;
mod send;
mod store;
mod views;

use crate::events::Event;
use crate::named::named;
use crate::state::App;
use crate::web::link::hex;
use crate::web::words;
use crate::zone::Zone;
use axum::Router;
use marks::Change;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use time::{Date, OffsetDateTime, Time};

pub(super) use check::check;
pub(super) use corrections::due as corrections_due;
pub(super) use holders::cancel_outdated;
pub use letter::{Approved, paper_letter};
pub(super) use marks::{PaperFacts, changes_say};
pub use moved::moved;
pub use old_texts::mark_old_papers;
pub use readings::public_router;
pub use send::note_sent;

pub use store::{Reader, approve, new_paper, version};
pub(super) use store::{of_event, versions_of_event};
pub(super) use views::{PaperLine, known, line};

pub(super) fn router() -> Router<App> {
    routes::router().merge(send::router()).merge(corrections::router()).merge(readings::router())
}

named! {
    /// What a paper is.
    PaperKind, "Choose what to write.", PAPER_KINDS: [
        Advisory = "media advisory",
        Release = "news release",
        AfterTheDay = "release after the day",
    ]
}

impl PaperKind {
    /// The task of the plan by whose due day it goes out.
    pub(super) fn task(self) -> &'static str {
        match self {
            Self::Advisory => "media-advisory",
            Self::Release => "news-release",
            Self::AfterTheDay => "results-release",
        }
    }

    /// At the top of it.
    pub(super) fn heading(self) -> &'static str {
        match self {
            Self::Advisory => "Media advisory",
            Self::Release | Self::AfterTheDay => "News release",
        }
    }
}

/// A paper while it is written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Paper {
    pub id: i64,
    pub event_id: i64,
    pub kind: PaperKind,
    pub draft: Draft,
    pub edited_by: i64,
    pub editor: String,
    pub editor_person: i64,
    pub edited_at: OffsetDateTime,
    pub version: i64,
    /// The newest first.
    pub versions: Vec<Version>,
}

/// What is typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Draft {
    pub headline: String,
    pub text: String,
    pub embargo: Option<(Date, Time)>,
}

/// What was approved.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Version {
    pub id: i64,
    pub paper_id: i64,
    pub kind: PaperKind,
    pub number: i64,
    /// Filled in, as it is sent.
    pub headline: String,
    pub text: String,
    pub embargo: String,
    /// What it was made from; unknown of those from before there were marks.
    pub made_from: Option<MadeFrom>,
    pub date_revision: i64,
    pub read: Read,
    pub approved_at: OffsetDateTime,
}

/// A text with its marks, and the facts they stood for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct MadeFrom {
    pub headline: String,
    pub text: String,
    pub facts: BTreeMap<String, String>,
}

/// Who read a version before it could go out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Read {
    /// Somebody else with an account.
    Account(String),
    /// Somebody outside, by an emailed link.
    Link(String),
    /// Nobody but its editor, as this person decided.
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

    /// "approved by Olga", "Nobody else has read this".
    pub fn says(&self) -> String {
        match self {
            Self::Account(name) => format!("approved by {name}"),
            Self::Link(name) => format!("read and approved by {name}, by a link"),
            Self::Nobody(name) => format!("Nobody else has read this; {name} decided to send it so"),
        }
    }

    pub fn is_unread(&self) -> bool {
        matches!(self, Self::Nobody(_))
    }
}

impl Version {
    /// "media advisory v1"
    pub fn called(&self) -> String {
        format!("{} v{}", self.kind, self.number)
    }

    /// Its facts that are others now. Of one whose facts are unknown it can only
    /// be said that the date has moved since.
    pub fn changes(&self, event: &Event, facts: &PaperFacts) -> Vec<Change> {
        match &self.made_from {
            Some(made) => facts.changes(&made.facts),
            None if self.kind != PaperKind::AfterTheDay && self.date_revision != event.date_revision => {
                vec![Change {
                    mark: marks::BURN_DAY.to_owned(),
                    was: String::new(),
                    is: marks::long_day(event.details.burn_on),
                }]
            }
            None => Vec::new(),
        }
    }

    /// What it says that isn't so, by the text it was made from.
    pub fn wrong(&self, facts: &PaperFacts) -> Vec<String> {
        let (headline, text) = match &self.made_from {
            Some(made) => (&made.headline, &made.text),
            None => (&self.headline, &self.text),
        };
        let draft = Draft { headline: headline.clone(), text: text.clone(), embargo: None };
        check(self.kind, &draft, facts).wrong
    }
}

impl Paper {
    pub fn newest(&self) -> Option<&Version> {
        self.versions.first()
    }

    /// What is outdated in the newest version; nothing if that is true, or none
    /// is approved.
    pub fn outdated(&self, event: &Event, facts: &PaperFacts) -> Vec<Change> {
        self.newest().map(|version| version.changes(event, facts)).unwrap_or_default()
    }

    /// Is what stands in the form what was approved last, with the facts as they
    /// are?
    pub fn is_approved(&self, event: &Event, facts: &PaperFacts) -> bool {
        let Some(version) = self.newest() else { return false };
        let Draft { headline, text, embargo } = &self.draft;
        let is_same = match &version.made_from {
            Some(made) => (&made.headline, &made.text) == (headline, text),
            None => (version.headline.clone(), version.text.clone()) == (facts.fill(headline), facts.fill(text)),
        };
        is_same
            && version.embargo == embargo_says(*embargo, &event.details.zone)
            && version.changes(event, facts).is_empty()
    }
}

/// A text as it would be sent now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Filled {
    pub headline: String,
    pub text: String,
    pub embargo: String,
    pub made_from: MadeFrom,
}

impl Filled {
    pub fn of(draft: &Draft, event: &Event, facts: &PaperFacts) -> Self {
        Self {
            headline: facts.fill(&draft.headline),
            text: facts.fill(&draft.text),
            embargo: embargo_says(draft.embargo, &event.details.zone),
            made_from: MadeFrom {
                headline: draft.headline.clone(),
                text: draft.text.clone(),
                facts: check::used(draft, facts),
            },
        }
    }

    /// Tells this text from every other, so that nobody approves what they
    /// haven't read.
    pub fn digest(&self) -> String {
        let whole = [self.headline.as_str(), &self.text, &self.embargo].join("\u{0}");
        hex(&Sha256::digest(whole.as_bytes())[..16])
    }
}

/// "Please hold until Sat 2 Jan 2027, 12:00, Central Time (UTC-06:00) …": a request, which binds nobody who didn't agree to it.
pub(super) fn embargo_says(embargo: Option<(Date, Time)>, zone: &Zone) -> String {
    let Some((on, at)) = embargo else { return String::new() };
    let offset = zone.instant(on, at).map(|instant| {
        let minutes = (zone.wall(instant).assume_utc() - instant).whole_minutes();
        let sign = if minutes < 0 { '-' } else { '+' };
        format!(" (UTC{sign}{:02}:{:02})", minutes.abs() / 60, minutes.abs() % 60)
    });
    format!(
        "Please hold until {}, {}, {}{}. This is a request.",
        words::day(on),
        words::clock(at),
        zone.plain(),
        offset.unwrap_or_default()
    )
}

/// The whole text as it is copied and printed.
pub(super) fn whole(heading: &str, department: &str, embargo: &str, headline: &str, text: &str) -> String {
    let hold = if embargo.is_empty() { "For immediate release" } else { embargo };
    format!("{department}\n{heading}\n{hold}\n\n{headline}\n\n{}\n\n###\n", text.trim())
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::{date, time};

    /// Chicago is six hours behind UTC in winter and five in summer.
    #[test]
    fn an_embargo_is_a_request_with_date_time_and_zone() {
        let zone = Zone::named("America/Chicago").unwrap();
        assert_eq!(embargo_says(None, &zone), "");
        assert_eq!(
            embargo_says(Some((date!(2027 - 01 - 02), time!(12:00))), &zone),
            "Please hold until Sat 2 Jan 2027, 12:00, Central Time (UTC-06:00). This is a request."
        );
        assert!(embargo_says(Some((date!(2027 - 06 - 05), time!(12:00))), &zone).contains("(UTC-05:00)"));
    }

    #[test]
    fn a_paper_ends_with_its_mark() {
        let text = whole("Media advisory", "Alder Bend Fire District", "", "Two rooms burn", "WHAT: two rooms\n");
        assert!(
            text.starts_with("Alder Bend Fire District\nMedia advisory\nFor immediate release\n\nTwo rooms burn\n")
        );
        assert!(text.ends_with("WHAT: two rooms\n\n###\n"));
    }
}
