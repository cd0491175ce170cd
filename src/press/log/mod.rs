//! Every contact with an outlet. Entries are only added; a correction is a new entry.

mod answering;
mod choices;
mod follow_ups;
mod form;
mod page;
mod routes;
mod shown;
mod store;

use crate::asks::{Said, Way};
use crate::named::named;
use time::{Date, OffsetDateTime};

pub(super) use choices::Choices;
pub(super) use follow_ups::open_follow_ups;
pub(super) use form::LogForm;
pub(super) use routes::router;
pub(super) use shown::{Shown, shown};
pub use store::add;
pub(super) use store::of_event;

named! {
    /// How someone was reached.
    Channel, "Choose how they were reached.", CHANNELS: [
        Phone = "phone",
        Mail = "mail",
        InPerson = "in person",
        Text = "text message",
        Form = "web form",
        Letter = "letter",
    ]
}

named! {
    /// The result.
    Outcome, "Choose a result.", OUTCOMES: [
        NoAnswer = "no answer yet",
        Answered = "answered",
        Comes = "will cover it",
        Perhaps = "may cover it",
        Declined = "will not cover it",
    ]
}

impl Channel {
    /// What people call it in a form.
    pub(super) fn label(self) -> &'static str {
        match self {
            Self::Mail => "email",
            other => other.as_str(),
        }
    }

    fn says(self) -> &'static str {
        match self {
            Self::Phone => "by phone",
            Self::Mail => "by email",
            Self::InPerson => "in person",
            Self::Text => "by text",
            Self::Form => "by web form",
            Self::Letter => "by letter",
        }
    }

    pub(super) fn way(self) -> Way {
        match self {
            Self::Phone => Way::Phone,
            Self::InPerson => Way::InPerson,
            Self::Letter => Way::Letter,
            Self::Mail | Self::Text | Self::Form => Way::Mail,
        }
    }
}

impl Outcome {
    /// Their answer to whether they will cover the burn.
    pub(super) fn said(self) -> Option<Said> {
        match self {
            Self::Comes => Some(Said::Yes),
            Self::Perhaps => Some(Said::Maybe),
            Self::Declined => Some(Said::No),
            Self::NoAnswer | Self::Answered => None,
        }
    }
}

/// An entry to add.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewEntry {
    pub event_id: i64,
    pub outlet_id: i64,
    pub person_id: i64,
    pub channel: Channel,
    pub outcome: Outcome,
    /// What was said or sent.
    pub words: String,
    pub promised: String,
    pub follow_up_on: Option<Date>,
    /// Who follows up; only with a date.
    pub follow_up_by: Option<i64>,
    /// The version of a release that was sent, and the email it went in.
    pub version_id: Option<i64>,
    pub mail_id: Option<i64>,
    pub at: OffsetDateTime,
    /// The entry it replaces.
    pub corrects: Option<i64>,
}

/// An entry of the log.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Entry {
    pub id: i64,
    pub outlet_id: i64,
    pub outlet: String,
    pub person_id: i64,
    pub person: String,
    pub channel: Channel,
    pub outcome: Outcome,
    pub words: String,
    pub promised: String,
    pub follow_up_on: Option<Date>,
    pub follow_up_by: Option<(i64, String)>,
    /// "media advisory v1"; empty if nothing was sent.
    pub sent: String,
    pub is_advisory: bool,
    pub version_id: Option<i64>,
    pub mail_id: Option<i64>,
    /// The email was stopped before it went out.
    pub is_lost: bool,
    pub at: OffsetDateTime,
    pub recorded_by: Option<String>,
    pub corrects: Option<i64>,
    pub is_corrected: bool,
}

/// Those that no other entry corrects.
pub(super) fn standing(entries: Vec<Entry>) -> Vec<Entry> {
    entries.into_iter().filter(|entry| !entry.is_corrected).collect()
}
