//! Advisories and releases: written out of the event's facts, approved by
//! somebody else, then frozen, and mailed one by one.

mod check;
mod draft;
mod letter;
mod routes;
mod send;
mod store;

use crate::named::named;
use crate::state::App;
use crate::web::words;
use crate::zone::Zone;
use axum::Router;
use time::{Date, OffsetDateTime, Time};

pub(super) use check::missing;
pub use letter::{Approved, paper_letter};
pub(super) use routes::{PaperLine, line};
pub use store::{approve, new_paper, note_sent, version};
pub(super) use store::{of_event, versions_of_event};

pub(super) fn router() -> Router<App> {
    routes::router().merge(send::router())
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
    pub headline: String,
    pub text: String,
    pub embargo: String,
    pub date_revision: i64,
    pub approver: String,
    pub approved_at: OffsetDateTime,
}

impl Version {
    /// "media advisory v1"
    pub fn called(&self) -> String {
        format!("{} v{}", self.kind, self.number)
    }
}

impl Paper {
    /// Is what stands in the form what was approved last?
    pub fn is_approved(&self, zone: &Zone) -> bool {
        self.versions.first().is_some_and(|version| {
            (&version.headline, &version.text) == (&self.draft.headline, &self.draft.text)
                && version.embargo == embargo_says(self.draft.embargo, zone)
        })
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
