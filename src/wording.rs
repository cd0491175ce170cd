//! The store keeps some texts and compares them with ones made anew. Both must be in the
//! same words, or what no one changed would look changed.

use crate::accounts;
use crate::closed_days;
use crate::crew;
use crate::db::{Db, wording};
use crate::error::Result;
use crate::events;
use crate::gifts;
use crate::guests;
use crate::loans;
use crate::press;
use std::sync::Arc;
use time::OffsetDateTime;

/// The version of this program's words. Raise it when the lines change that the crew,
/// guests, loans or press put under questions.
const CURRENT: i64 = 2;

/// Puts the texts of a store into this program's words, before anything is compared or
/// sent. Only words change, and everyone still knows what they knew. So no one is emailed
/// or listed, and the journal gets no entry.
///
/// # Errors
/// The store's.
pub async fn update(db: &Db, now: OffsetDateTime) -> Result<()> {
    let was = wording::version(db.read()).await?;
    if was == CURRENT {
        return Ok(());
    }
    let events = events::list(db.read()).await?;
    let calendar = Arc::new(closed_days::calendar_of(db.read()).await?);
    let department = accounts::department(db.read()).await?.unwrap_or_default().name;
    let write = db.write(move |tx| {
        Box::pin(async move {
            for event in &events {
                crew::reword(tx, event).await?;
                guests::reword(tx, event).await?;
                loans::reword(tx, event, (&events, &calendar), now).await?;
                press::reword(tx, event.id).await?;
                // In version 1, overrides and receipts were compared by their words, too.
                if was == 1 {
                    crew::read_old_overrides(tx, event).await?;
                    gifts::read_old_receipts(tx, event.id, &department).await?;
                }
            }
            wording::set_version(tx, CURRENT).await
        })
    });
    write.await
}
