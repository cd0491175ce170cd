//! What email needs to know that only the slices know. The program hands it in.

use super::letter::Kind;
use crate::db::{Tx, Write};
use crate::error::Result;
use crate::zone::Zone;
use futures_util::future::BoxFuture;
use sqlx::SqlitePool;
use time::OffsetDateTime;

/// What the slices answer.
#[derive(Clone, Copy)]
pub struct Outside {
    pub zones: ReadZones,
    /// Asked right before a message's text is sent. The first objection counts.
    pub checks: &'static [Check],
    pub refuse: Refuse,
}

/// Reads the time zones that email goes by.
pub type ReadZones = for<'c> fn(&'c SqlitePool) -> BoxFuture<'c, Result<Zones>>;

/// The time zones that email goes by.
#[derive(Debug)]
pub struct Zones {
    /// Each event's.
    pub events: Vec<(i64, Zone)>,
    /// The department's, for messages that belong to no event.
    pub elsewhere: Option<Zone>,
}

/// Says why a message is no longer true or wanted, if it isn't. It looks inside the write
/// that lets the message go, so whatever was committed before it counts.
pub type Check = for<'c> fn(&'c mut Tx, &'c About) -> Write<'c, Option<&'static str>>;

/// What a message is about, for a [`Check`].
#[derive(Debug, Clone, Copy)]
pub struct About {
    pub kind: Kind,
    pub event_id: Option<i64>,
    /// The revision of the event's facts that it says.
    pub facts_revision: Option<i64>,
    pub person_id: Option<i64>,
    pub request_id: Option<i64>,
}

/// Marks a person's address as refused.
pub type Refuse = for<'c> fn(&'c mut Tx, i64, Refusal, OffsetDateTime) -> Write<'c, ()>;

/// An address that a relay says doesn't work, and what it said.
#[derive(Debug, Clone)]
pub struct Refusal {
    pub address: String,
    pub words: String,
}
