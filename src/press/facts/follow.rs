//! What follows when the messages of the lesson plan change, and questions in new words.

use super::question_lines::coverage_facts;
use super::store::of_event;
use crate::asks;
use crate::db::Tx;
use crate::error::Result;
use crate::events::Event;
use crate::press::papers;
use futures_util::future::BoxFuture;
use time::OffsetDateTime;

/// Cancels waiting emails that say something else than the lesson plan's messages do now.
#[must_use]
pub fn messages_changed(tx: &mut Tx, event_id: i64, now: OffsetDateTime) -> BoxFuture<'_, Result<()>> {
    Box::pin(async move {
        let printed = of_event(tx, event_id).await?;
        papers::cancel_outdated(tx, event_id, &printed, now).await?;
        Ok(())
    })
}

/// Puts the lines under an event's questions to the press into this program's words.
pub async fn reword(tx: &mut Tx, event: &Event, now: OffsetDateTime) -> Result<()> {
    let lines = coverage_facts(&of_event(tx, event.id).await?);
    for request in asks::of_event(tx, event.id).await?.iter().filter(|one| one.kind == asks::Kind::Coverage) {
        asks::reword(tx, event, request, &lines, now).await?;
    }
    Ok(())
}
