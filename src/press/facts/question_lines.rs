//! The facts under the question whether the press will cover the burn.

use super::{Facts, store};
use crate::asks;
use crate::db::Tx;
use crate::error::{Error, Result};
use crate::events;
use futures_util::future::BoxFuture;
use sqlx::SqliteConnection;
use time::OffsetDateTime;

/// What media need to know before burn day, under the question whether they will come.
#[must_use]
pub fn coverage_facts(facts: &Facts) -> Vec<(String, String)> {
    let area = if facts.area.is_empty() { "not set yet; we will tell you before burn day" } else { &facts.area };
    let lines = [("Arrival", facts.arrival.as_str()), ("Press area", area), ("Wear", facts.clothing.as_str())];
    let known = lines.into_iter().filter(|(_, text)| !text.is_empty());
    known.map(|(label, text)| (label.to_owned(), text.to_owned())).collect()
}

/// The same for an event.
#[must_use]
pub fn coverage_lines(db: &mut SqliteConnection, event_id: i64) -> BoxFuture<'_, Result<Vec<(String, String)>>> {
    Box::pin(async move { Ok(coverage_facts(&store::of_event(db, event_id).await?)) })
}

/// Puts today's facts under the questions to the press. Gives how many questions changed.
pub(super) async fn refresh(tx: &mut Tx, event_id: i64, facts: &Facts, now: OffsetDateTime) -> Result<usize> {
    let event = events::find_in(tx, event_id).await?.ok_or(Error::NotFound)?;
    let lines = coverage_facts(facts);
    let mut changed = 0;
    for request in asks::of_event(tx, event_id).await?.iter().filter(|one| one.kind == asks::Kind::Coverage) {
        changed += usize::from(asks::refresh(tx, &event, request, &lines, now).await?);
    }
    Ok(changed)
}
