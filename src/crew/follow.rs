//! Keeps the crew in step with the event: hours move when the first fire moves, and the
//! questions already asked show the new hours.

use super::question_lines::lines_of;
use super::snapshot::CrewSnapshot;
use super::{Assignment, Post, posts};
use crate::asks::{self, Request};
use crate::countdown::Following;
use crate::db::Tx;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use futures_util::future::BoxFuture;
use time::OffsetDateTime;

/// What changes in the crew when the event changes.
#[must_use]
pub fn follow<'a>(tx: &'a mut Tx, change: Following<'a>) -> BoxFuture<'a, Result<()>> {
    Box::pin(async move {
        if let Some(later) = change.minutes_later() {
            posts::store::move_hours(tx, change.actor, change.new, later, change.now).await?;
        }
        write_anew(tx, (change.old, change.new), change.now).await?;
        Ok(())
    })
}

/// Rewrites the lines under the questions about positions after the positions changed.
/// Returns how many questions changed.
pub(super) async fn refresh(tx: &mut Tx, event_id: i64, now: OffsetDateTime) -> Result<usize> {
    let event = events::find_in(tx, event_id).await?.ok_or(Error::NotFound)?;
    write_anew(tx, (&event, &event), now).await
}

/// Puts the lines under an event's questions about positions into this program's words.
pub async fn reword(tx: &mut Tx, event: &Event, now: OffsetDateTime) -> Result<()> {
    let snapshot = CrewSnapshot::load(tx, event).await?;
    asks::reword_all(tx, event, &lines(&snapshot), now).await
}

async fn write_anew(tx: &mut Tx, (known, event): (&Event, &Event), now: OffsetDateTime) -> Result<usize> {
    let snapshot = CrewSnapshot::load(tx, event).await?;
    asks::refresh_all(tx, known, &lines(&snapshot), now).await
}

/// The questions about positions, with the lines under each.
fn lines(snapshot: &CrewSnapshot) -> Vec<(&Request, Vec<(String, String)>)> {
    let mut all = Vec::new();
    for request in &snapshot.requests {
        let about = snapshot.posts_of(request.person_id);
        let about: Vec<(&Assignment, &Post)> =
            about.into_iter().filter(|(one, _)| one.request_id == Some(request.id)).collect();
        if !about.is_empty() {
            all.push((request, lines_of(&about)));
        }
    }
    all
}
