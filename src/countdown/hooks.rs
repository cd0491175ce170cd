//! What another slice passes in: what it has for the countdown, what a change to the event would
//! do to it, and how it follows the change. In each slice these are the functions
//! `countdown_items`, `moves`, and `follow`.

use super::CountdownItems;
use crate::calc::calendar::Calendar;
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::events::{Details, Event};
use crate::state::App;
use futures_util::future::BoxFuture;
use std::sync::Arc;
use time::OffsetDateTime;

/// Lists what a place has to show in the countdown of an event.
pub type ListItems = fn(App, Event, OffsetDateTime) -> BoxFuture<'static, Result<CountdownItems>>;

/// Lists what a place would lose or have to do again if the event changed to this:
/// another date, hour or site.
pub type ListMoves = fn(App, Event, Details, OffsetDateTime) -> BoxFuture<'static, Result<Vec<MoveLine>>>;

/// Updates whatever in a place depends on the event's facts, once those have
/// changed.
pub type Follow = for<'a> fn(&'a mut Tx, Following<'a>) -> BoxFuture<'a, Result<()>>;

/// One thing that a change to the event does in a place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MoveLine {
    pub what: String,
    /// The smaller line beneath it; may be empty.
    pub beneath: String,
    pub href: String,
    /// Something that the burn needs would be open: a position, a loan, an item, a permit.
    pub is_open: bool,
}

/// A change to an event, during the write that saves it.
#[derive(Debug, Clone, Copy)]
pub struct Following<'a> {
    pub actor: Actor,
    pub old: &'a Event,
    pub new: &'a Event,
    /// Other times that day move along with first ignition.
    pub moves_times: bool,
    /// All events, with this one already changed.
    pub events: &'a [Event],
    pub calendar: &'a Arc<Calendar>,
    pub now: OffsetDateTime,
}

impl Following<'_> {
    /// How many minutes later first ignition is, for times that move along.
    #[must_use]
    pub fn minutes_later(&self) -> Option<i64> {
        let later = (self.new.details.burn_time - self.old.details.burn_time).whole_minutes();
        (self.moves_times && later != 0).then_some(later)
    }
}
