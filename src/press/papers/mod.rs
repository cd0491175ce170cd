//! Media advisories and news releases. Their texts refer to the event's facts by
//! marks. Someone else approves one, which freezes it with its facts. It is emailed
//! to each contact separately, and corrected when a fact changes.

mod before_sending;
mod check;
mod corrections;
mod dateline;
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
use serde_json::json;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use time::{Date, OffsetDateTime, PrimitiveDateTime, Time};

pub(super) use check::check;
pub(super) use corrections::due as corrections_due;
pub(super) use holders::cancel_outdated;
pub use letter::{Approved, paper_letter};
pub(super) use marks::{PaperFacts, changes_say};
pub use moved::moved;
pub use old_texts::mark_old_papers;
pub use readings::{keep_open_readings, public_router};
pub use send::note_sent;

pub use store::{Reader, approve, new_paper, version};
pub(super) use store::{of_event, versions_of_event};
pub(super) use views::{PaperLine, known, line};

pub(super) fn router() -> Router<App> {
    routes::router().merge(send::router()).merge(corrections::router()).merge(readings::router())
}

named! {
    /// What it is.
    PaperKind, "Choose what to write.", PAPER_KINDS: [
        Advisory = "media advisory",
        Release = "news release",
        AfterTheDay = "release after the day",
    ]
}

impl PaperKind {
    /// What people call it.
    #[must_use]
    pub const fn label(self) -> &'static str {
        match self {
            Self::Advisory => "media advisory",
            Self::Release => "news release",
            Self::AfterTheDay => "results release",
        }
    }

    /// The task in the plan that says when it is due.
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

/// A release or advisory while it is written.
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
    /// What it was made from; not known if it is from before there were marks.
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

/// Who read a version before it went out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Read {
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
            None if self.kind != PaperKind::AfterTheDay && self.date_revision != event.date_revision => {
                vec![Change {
                    mark: marks::BURN_DAY.to_owned(),
                    was: String::new(),
                    is: facts.day(event.details.burn_on),
                }]
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

impl Paper {
    pub fn newest(&self) -> Option<&Version> {
        self.versions.first()
    }

    /// What is out of date in the newest version; nothing if nothing is, or if none is
    /// approved.
    pub fn outdated(&self, event: &Event, facts: &PaperFacts) -> Vec<Change> {
        self.newest().map(|version| version.changes(event, facts)).unwrap_or_default()
    }

    /// Is the text what was approved last, with today's facts? A version from before
    /// may write its dates in the old way.
    pub fn is_approved(&self, event: &Event, facts: &PaperFacts) -> bool {
        let Some(version) = self.newest() else { return false };
        let Draft { headline, text, embargo } = &self.draft;
        let is_same = match &version.made_from {
            Some(made) => (&made.headline, &made.text) == (headline, text),
            None => [facts.clone(), old_texts::as_then(facts)].iter().any(|facts| {
                (version.headline.clone(), version.text.clone()) == (facts.fill(headline), facts.fill(text))
            }),
        };
        let is_held_alike = is_embargo_in_words(*embargo, &version.embargo, &event.details.zone);
        is_same && is_held_alike && version.changes(event, facts).is_empty()
    }
}

/// A text as it would be sent now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Filled {
    pub headline: String,
    pub text: String,
    pub embargo: String,
    pub made_from: MadeFrom,
    /// The end of the embargo, in no words.
    pub hold: String,
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
            hold: hold_of(draft.embargo, &event.details.zone),
        }
    }

    /// Tells this text from every other, so that nobody approves what they
    /// haven't read. Another way to write the same facts makes no other text.
    pub fn digest(&self) -> String {
        let MadeFrom { headline, text, facts } = &self.made_from;
        let whole = json!([headline, text, facts, self.hold]).to_string();
        hex(&Sha256::digest(whole.as_bytes())[..16])
    }

    /// Is it the text that was made from this? Only its marks and facts count: as days pass, a
    /// date is written without its year, and the fire is spoken of in the past.
    fn is_same(&self, was: &MadeFrom, hold: Option<&str>, facts: &PaperFacts) -> bool {
        (&was.headline, &was.text) == (&self.made_from.headline, &self.made_from.text)
            && hold == Some(self.hold.as_str())
            && facts.changes(&was.facts).is_empty()
    }
}

/// The end of an embargo as the store has it: "2027-01-02 12:00 America/Chicago"; empty
/// without one.
fn hold_of(embargo: Option<(Date, Time)>, zone: &Zone) -> String {
    let says = |(on, at)| format!("{} {} {}", words::iso(on), words::iso_time(at), zone.name());
    embargo.map(says).unwrap_or_default()
}

/// Is this the request to hold a text until then, in today's words or in those of before?
fn is_embargo_in_words(embargo: Option<(Date, Time)>, words: &str, zone: &Zone) -> bool {
    let is_in_old_words = |(on, at)| old_texts::embargoes(on, at, zone).iter().any(|old| old == words);
    words == embargo_says(embargo, zone) || embargo.is_some_and(is_in_old_words)
}

/// "EMBARGO REQUEST: Please hold until noon Saturday, Jan. 2, 2027, Central Time." It
/// binds only those who agreed to it.
pub(super) fn embargo_says(embargo: Option<(Date, Time)>, zone: &Zone) -> String {
    let Some((on, at)) = embargo else { return String::new() };
    let moment = words::Reader::Press.moment(PrimitiveDateTime::new(on, at));
    format!("EMBARGO REQUEST: Please hold until {moment}, {}.", zone.plain())
}

/// A release or advisory as outlets get it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Layout {
    /// "News release".
    pub heading: &'static str,
    /// "FOR IMMEDIATE RELEASE", or the request to hold it.
    pub hold: String,
    /// "Nov. 19, 2026": the date in its dateline, or else the one given.
    pub dated: String,
    /// Who to call, if the text starts with that; else empty.
    pub contact: String,
    pub headline: String,
    pub paragraphs: Vec<String>,
}

impl Layout {
    pub fn of(kind: PaperKind, (headline, text, embargo): (&str, &str, &str), on: Date) -> Self {
        let parts = text.split("\n\n").map(|part| part.trim().to_owned()).filter(|part| !part.is_empty());
        let mut paragraphs: Vec<String> = parts.collect();
        let has_contact = paragraphs.first().is_some_and(|first| is_contact(first));
        Self {
            heading: kind.heading(),
            hold: if embargo.is_empty() { "FOR IMMEDIATE RELEASE".to_owned() } else { embargo.to_owned() },
            dated: dateline::short_day(dateline::day_of(text).unwrap_or(on)),
            contact: if has_contact { paragraphs.remove(0) } else { String::new() },
            headline: headline.to_owned(),
            paragraphs,
        }
    }

    /// As plain text, to copy.
    pub fn plain(&self, department: &str) -> String {
        let top = [department, self.heading, &self.hold, &self.dated, &self.contact];
        let top = top.into_iter().filter(|line| !line.is_empty()).collect::<Vec<_>>().join("\n");
        format!("{top}\n\n{}\n\n{}\n\n###\n", self.headline, self.paragraphs.join("\n\n"))
    }
}

fn is_contact(paragraph: &str) -> bool {
    let label = paragraph.split_once(':').map(|(label, _)| label.trim().to_lowercase());
    label.is_some_and(|label| ["contact", "media contact", "press contact"].contains(&label.as_str()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::{date, time};

    #[test]
    fn an_embargo_is_a_request_with_time_date_and_zone() {
        let zone = Zone::named("America/Chicago").unwrap();
        assert_eq!(embargo_says(None, &zone), "");
        assert_eq!(
            embargo_says(Some((date!(2027 - 01 - 02), time!(12:00))), &zone),
            "EMBARGO REQUEST: Please hold until noon Saturday, Jan. 2, 2027, Central Time."
        );
    }

    #[test]
    fn who_to_call_goes_above_the_headline_and_the_mark_at_the_end() {
        let on = date!(2026 - 11 - 19);
        let text = "Contact: Jun, 555-0118\n\nALDER BEND, Iowa (Nov. 12, 2026) – Two rooms will burn.\n\nCome.";
        let release = Layout::of(PaperKind::Release, ("Two rooms burn", text, ""), on);
        assert_eq!(
            release.plain("Alder Bend Fire District"),
            "Alder Bend Fire District\nNews release\nFOR IMMEDIATE RELEASE\nNov. 12, 2026\nContact: Jun, 555-0118\n\n\
             Two rooms burn\n\nALDER BEND, Iowa (Nov. 12, 2026) – Two rooms will burn.\n\nCome.\n\n###\n"
        );
        let hold = "EMBARGO REQUEST: Please hold.";
        let advisory = Layout::of(PaperKind::Advisory, ("Two rooms burn", "WHAT: two rooms\n", hold), on);
        assert_eq!(
            advisory.plain("Alder Bend Fire District"),
            format!(
                "Alder Bend Fire District\nMedia advisory\n{hold}\nNov. 19, 2026\n\nTwo rooms burn\n\nWHAT: two \
                 rooms\n\n###\n"
            )
        );
    }
}
