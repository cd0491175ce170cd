//! The crew follows the event: hours move along with the first fire, and what was
//! asked of people says the hours that are true.

use super::asking::lines_of;
use super::book::Book;
use super::{Assignment, Post, posts};
use crate::asks;
use crate::countdown::Following;
use crate::db::Tx;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use futures_util::future::BoxFuture;
use time::OffsetDateTime;

/// What the crew does when the event changes.
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

/// Writes the positions as they are now under the questions about them, after the
/// positions changed. Gives how many questions did.
///
/// # Errors
/// The store's.
pub(super) async fn refresh(tx: &mut Tx, event_id: i64, now: OffsetDateTime) -> Result<usize> {
    let event = events::find_in(tx, event_id).await?.ok_or(Error::NotFound)?;
    write_anew(tx, (&event, &event), now).await
}

async fn write_anew(tx: &mut Tx, (known, event): (&Event, &Event), now: OffsetDateTime) -> Result<usize> {
    let book = Book::load(tx, event).await?;
    let mut changed = 0;
    for request in &book.requests {
        let about = book.posts_of(request.person_id);
        let about: Vec<(&Assignment, &Post)> =
            about.into_iter().filter(|(one, _)| one.request_id == Some(request.id)).collect();
        if !about.is_empty() {
            changed += usize::from(asks::refresh(tx, known, request, &lines_of(&about), now).await?);
        }
    }
    Ok(changed)
}
