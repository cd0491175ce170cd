//! Someone outside the app reads a text by an emailed link and approves exactly that
//! text, or says what to change.

mod link;
mod routes;
mod store;

use super::{Filled, MadeFrom, Paper, PaperFacts};
use crate::accounts::{Private, User};
use crate::error::Result;
use crate::events::Event;
use crate::state::App;
use crate::web::words::Reader;
use axum::Router;
use std::str::FromStr;
use time::{Duration, OffsetDateTime};

pub use link::router as public_router;
pub(super) use routes::AskForm;
pub use store::keep_open_readings;
pub(in crate::press) use store::{Handed, forget, hand_over, put};

pub(super) fn router() -> Router<App> {
    routes::router()
}

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

/// Outside readers on a release's page.
#[derive(Debug, Default)]
pub(super) struct ReadingsView {
    pub lines: Vec<ReadingLine>,
}

#[derive(Debug)]
pub(super) struct ReadingLine {
    pub name: String,
    /// What they said, or else "asked" or "run out".
    pub state: &'static str,
    pub says: String,
    pub note: String,
}

impl ReadingsView {
    pub async fn load(app: &App, user: &User, event: &Event, paper: &Paper) -> Result<Self> {
        let asked = store::of_paper(&mut *app.db.read().acquire().await?, paper.id).await?;
        let now = app.clock.now();
        let moment = |at: OffsetDateTime| Reader::App.moment(event.details.zone.wall(at));
        let line = |asked: Asked| {
            let (state, says) = match (asked.said, asked.said_at) {
                (Some(said), Some(at)) => (said.as_str(), format!("{}, {}", said.label(), moment(at))),
                _ if asked.expires_at <= now => {
                    ("run out", format!("asked {}; the link has expired", moment(asked.asked_at)))
                }
                _ => ("asked", format!("asked {}, waiting for a reply", moment(asked.asked_at))),
            };
            ReadingLine { state, says, name: asked.person, note: user.shown(Private::Notes, &asked.note) }
        };
        Ok(Self { lines: asked.into_iter().map(line).collect() })
    }
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
