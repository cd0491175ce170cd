//! Someone outside the app reads a text by an emailed link and approves exactly that
//! text, or says what to change.

mod asking;
mod form;
mod letter;
mod link;
mod store;
mod view;

use super::filled::Filled;
use super::paper_facts::PaperFacts;
use super::version::MadeFrom;
use std::str::FromStr;
use time::{Duration, OffsetDateTime};

pub(super) use asking::router;
pub(super) use form::AskForm;
pub use link::router as public_router;
pub use store::keep_open_readings;
pub(super) use view::ReadingsView;

/// How long a link to a text works.
const OPEN_FOR: Duration = Duration::days(14);

/// What someone says about a text they were asked to read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Said {
    Approved,
    NeedsAChange,
}

impl Said {
    const fn as_str(self) -> &'static str {
        match self {
            Self::Approved => "approved",
            Self::NeedsAChange => "needs a change",
        }
    }

    const fn label(self) -> &'static str {
        match self {
            Self::Approved => "approved",
            Self::NeedsAChange => "asked for changes",
        }
    }
}

impl FromStr for Said {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let all = [Self::Approved, Self::NeedsAChange];
        all.into_iter().find(|said| said.as_str() == text).ok_or_else(|| "Choose one of the two buttons.".to_owned())
    }
}

/// A text someone was asked to read.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Asked {
    id: i64,
    event_id: i64,
    paper_id: i64,
    person_id: i64,
    person: String,
    /// What they read.
    headline: String,
    text: String,
    embargo: String,
    made_from: MadeFrom,
    /// The end of the embargo; none if it isn't known.
    hold: Option<String>,
    asked_by: i64,
    asked_at: OffsetDateTime,
    expires_at: OffsetDateTime,
    said: Option<Said>,
    note: String,
    said_at: Option<OffsetDateTime>,
}

impl Asked {
    /// Is what they read still what would be approved?
    fn is_current(&self, filled: &Filled, facts: &PaperFacts) -> bool {
        filled.is_same(&self.made_from, self.hold.as_deref(), facts)
    }

    /// The same text as it would be approved now.
    fn with_text_of_now(self, filled: Filled) -> Self {
        Self { headline: filled.headline, text: filled.text, embargo: filled.embargo, ..self }
    }
}
