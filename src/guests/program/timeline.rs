//! The program for the pages of other slices, and what follows it.

use super::times::Timed;
use crate::error::Result;
use crate::events::Event;
use crate::guests::snapshot::GuestSnapshot;
use crate::state::App;
use futures_util::future::BoxFuture;
use sqlx::SqliteConnection;

/// The program up to where the presenter's talk begins.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Timeline {
    pub parts: Vec<TimelinePart>,
    /// Minutes before ignition when it begins.
    pub begins: u32,
    /// Seconds from its beginning to its end.
    pub seconds: u32,
    /// Seconds by which it is longer than it may be.
    pub over: u32,
}

/// One part of the program that isn't dropped.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TimelinePart {
    /// When it begins.
    pub clock: String,
    pub title: String,
    pub who: String,
    pub seconds: u32,
}

/// Something that comes after the program, up to ignition.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Following {
    pub clock: String,
    pub what: String,
    pub lasts: String,
    /// By how much it is too long; empty if it fits.
    pub over: String,
    /// Its page; empty if it has none.
    pub href: String,
}

/// Finds out what follows the program. Guests come before the talk, so it is passed in.
pub type ReadFollowing = fn(App, Event) -> BoxFuture<'static, Result<Vec<Following>>>;

/// The program of an event as of now, with its times.
pub async fn timeline(db: &mut SqliteConnection, event: &Event) -> Result<Timeline> {
    let snapshot = GuestSnapshot::load(db, event).await?;
    let times = snapshot.program.times(&snapshot, 0);
    let part = |line: Timed| TimelinePart {
        clock: line.clock,
        title: line.entry.title,
        who: line.entry.who,
        seconds: line.seconds,
    };
    Ok(Timeline {
        parts: times.lines.into_iter().filter(|line| !line.is_dropped).map(part).collect(),
        begins: snapshot.program.begins,
        seconds: times.total,
        over: times.over,
    })
}
