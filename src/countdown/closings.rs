//! The plan's deadlines for answers.

use super::Outlook;
use crate::asks::{Closings, Kind};
use crate::error::Result;
use crate::events::Event;
use crate::state::App;
use futures_util::future::BoxFuture;
use time::{Date, OffsetDateTime};

impl Outlook {
    /// The last days for answers.
    #[must_use]
    pub fn closings(&self) -> Closings {
        let due = |kind: Kind| {
            let place = self.tasks.iter().position(|one| one.key.as_deref() == Some(kind.task()))?;
            Some(self.row(place).1.due)
        };
        Closings::of(due)
    }

    /// By when the plan needs the answers that are still missing.
    pub(super) fn answers_due(&self) -> impl Iterator<Item = (Kind, Date)> {
        Kind::ALL.into_iter().filter_map(move |kind| {
            let (needs, row) = self.rows().find(|(one, _)| one.key.as_deref() == Some(kind.task()))?;
            needs.is_open().then_some((kind, row.due))
        })
    }
}

/// The last days on which an event can use answers.
#[must_use]
pub fn closings(app: App, event: Event, now: OffsetDateTime) -> BoxFuture<'static, Result<Closings>> {
    Box::pin(async move { Ok(Outlook::load(&app, &event, now).await?.closings()) })
}
