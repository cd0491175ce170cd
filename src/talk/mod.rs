//! The presenter's talk: what people should learn, what is said when, whether it fits the
//! pinned plan's fires, and the talk practiced against one of them.

mod countdown_items;
mod drawing;
mod history;
mod lesson;
mod lines;
mod mends;
mod person_references;
mod practice;
mod print;
mod routes;
mod says;
mod snapshot;
mod starter;
mod store;

use crate::calc::talk::{Audience, Pace, Part, Rules};
use crate::db::Tx;
use crate::error::Result;
use crate::events::Format;
use crate::named::named;
use crate::state::App;
use axum::{Extension, Router};
use futures_util::future::BoxFuture;
use sqlx::SqliteConnection;
use time::OffsetDateTime;

pub use countdown_items::countdown_items;
pub use history::HISTORY;
pub use person_references::PERSON_REFERENCES;
pub use routes::before_lighting;
pub use store::{add_line, add_objective, objectives, start};

/// Follows a change of the messages that the press may have, in the write that changes them.
pub type MessagesChanged = fn(&mut Tx, i64, OffsetDateTime) -> BoxFuture<'_, Result<()>>;

/// The pages of the talk.
pub fn router(changed: MessagesChanged) -> Router<App> {
    let all = routes::router().merge(lines::router()).merge(lesson::router());
    all.merge(practice::router()).merge(print::router()).layer(Extension(changed))
}

named! {
    /// Where the crowd is asked to look.
    Looks, "Choose where people look.", LOOKS: [
        Anywhere = "anywhere",
        RoomA = "room A",
        RoomB = "room B",
        BothRooms = "both rooms",
        Clock = "the clock",
        Smoke = "the smoke",
        Presenter = "the presenter",
    ]
}

/// At most so many lines: more can't be said in front of a crowd.
pub const MOST_LINES: usize = 200;
/// A lesson has three to five objectives: common practice, no source.
pub const OBJECTIVES: std::ops::RangeInclusive<usize> = 3..=5;

/// How fast the presenter speaks, and what the talk has to leave time for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Settings {
    pub pace: Pace,
    /// Seconds of quiet after a key moment, so that people hear the alarm.
    pub listen: u32,
    /// Seconds from flashover until the crew's water.
    pub attack: u32,
    /// Minutes before ignition without talk.
    pub clear: u32,
    /// 0 before anything is saved.
    pub version: i64,
}

/// Common practice, no source: the search 6 minutes before ignition, the attack within a
/// minute of flashover.
impl Default for Settings {
    fn default() -> Self {
        Self { pace: Pace::USUAL, listen: 2, attack: 30, clear: 6, version: 0 }
    }
}

impl Settings {
    fn rules(&self, format: Format) -> Rules {
        Rules { is_both: format == Format::BothAtOnce, listen: f64::from(self.listen), attack: f64::from(self.attack) }
    }
}

/// Something that people should know or be able to do afterward, with the message that says
/// it and the question that measures it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Objective {
    pub id: i64,
    pub text: String,
    pub message: String,
    /// Where the message is from, and which edition of it.
    pub source: String,
    pub edition: String,
    /// The question on the survey card.
    pub item: String,
    /// The press may have the message.
    pub is_for_press: bool,
    pub version: i64,
}

impl Objective {
    /// A message without a source doesn't go to the press.
    fn has_source(&self) -> bool {
        !self.source.is_empty() && !self.edition.is_empty()
    }

    /// "NFPA 72, 2022 edition".
    fn cited(&self) -> String {
        [self.source.as_str(), &self.edition].into_iter().filter(|text| !text.is_empty()).collect::<Vec<_>>().join(", ")
    }
}

/// One thing that is said.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TalkLine {
    pub id: i64,
    pub part: Part,
    pub audience: Audience,
    /// Who says it.
    pub speaker: String,
    pub looks: Looks,
    pub words: String,
    /// What it teaches.
    pub objective: Option<i64>,
    pub version: i64,
}

/// The messages of an event that the press may have, in order, each with its source.
///
/// # Errors
/// The store's.
pub async fn press_messages(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<String>> {
    let all = store::objectives(db, event_id).await?;
    Ok(all
        .into_iter()
        .filter(|one| one.is_for_press && one.has_source())
        .map(|one| format!("{} ({})", one.message, one.cited()))
        .collect())
}
