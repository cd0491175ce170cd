//! When answers are needed by.

use super::Kind;
use crate::error::Result;
use crate::events::Event;
use crate::state::App;
use crate::web::words;
use futures_util::future::BoxFuture;
use sqlx::SqliteConnection;
use std::collections::HashMap;
use time::{Date, Duration, OffsetDateTime, Time};

/// The time on the last day.
const EVENING: Time = time::macros::time!(20:00);

/// The day the plan needs the answers to each kind of question by.
#[derive(Debug, Clone, Default)]
pub struct Closings(HashMap<Kind, Date>);

/// Reads them. The plan sits above the questions, so it passes this in.
pub type ReadClosings = fn(App, Event, OffsetDateTime) -> BoxFuture<'static, Result<Closings>>;

/// The lines under a question to someone who covers the burn. Press sits above the
/// questions, too.
pub type ReadCoverage = for<'a> fn(&'a mut SqliteConnection, i64) -> BoxFuture<'a, Result<Vec<(String, String)>>>;

impl Closings {
    /// Collects the day for each kind.
    #[must_use]
    pub fn of(due: impl Fn(Kind) -> Option<Date>) -> Self {
        Self(Kind::ALL.into_iter().filter_map(|kind| Some((kind, due(kind)?))).collect())
    }

    /// The last moment to answer: the evening of the plan's day. If that has passed or the
    /// plan has none, two days before burn day, or as late as there is still time.
    #[must_use]
    pub fn last(&self, kind: Kind, event: &Event, now: OffsetDateTime) -> OffsetDateTime {
        let zone = &event.details.zone;
        let before = |days: i64| zone.instant(event.details.burn_on - Duration::days(days), EVENING);
        let planned = self.0.get(&kind).and_then(|on| zone.instant(*on, EVENING));
        let burn = zone.instant(event.details.burn_on, event.details.burn_time);
        let all = [planned, before(2), before(1), burn];
        all.into_iter().flatten().find(|closes| *closes > now).unwrap_or(now + Duration::DAY)
    }

    /// The same as form values.
    #[must_use]
    pub fn typed(&self, kind: Kind, event: &Event, now: OffsetDateTime) -> (String, String) {
        let wall = event.details.zone.wall(self.last(kind, event, now));
        (words::iso(wall.date()), words::iso_time(wall.time()))
    }
}
