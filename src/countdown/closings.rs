//! The plan's deadlines for answers.

use super::Outlook;
use crate::asks::{Closings, Kind};
use crate::error::Result;
use crate::events::Event;
use crate::state::App;
use futures_util::future::BoxFuture;
use time::{Date, OffsetDateTime};

/// The task by whose due date the answers to this kind of question must be in.
fn task(kind: Kind) -> &'static str {
    match kind {
        Kind::Post => "crew-confirmed",
        Kind::Help => "volunteer-sign-up",
        Kind::Guest => "guest-replies",
        Kind::Loan => "loans-confirmed",
        Kind::Item => "collect-furnishings",
        Kind::Coverage => "press-follow-up",
    }
}

impl Outlook {
    /// The last days for answers.
    #[must_use]
    pub fn closings(&self) -> Closings {
        let due = |kind| {
            let place = self.tasks.iter().position(|one| one.key.as_deref() == Some(task(kind)))?;
            Some(self.row(place).1.due)
        };
        Closings::of(due)
    }

    /// By when the plan needs the answers that are still missing.
    pub(super) fn answers_due(&self) -> impl Iterator<Item = (Kind, Date)> {
        Kind::ALL.into_iter().filter_map(move |kind| {
            let (needs, row) = self.rows().find(|(one, _)| one.key.as_deref() == Some(task(kind)))?;
            needs.is_open().then_some((kind, row.due))
        })
    }
}

/// The last days on which an event can use answers.
#[must_use]
pub fn closings(app: App, event: Event, now: OffsetDateTime) -> BoxFuture<'static, Result<Closings>> {
    Box::pin(async move { Ok(Outlook::load(&app, &event, now).await?.closings()) })
}
