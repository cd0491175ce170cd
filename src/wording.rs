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
const CURRENT: i64 = 3;

/// Puts the texts of a store into this program's words, before anything is compared or
/// sent. Only words change, and everyone still knows what they knew. So no one is emailed
/// or listed, and the journal gets no entry.
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
                crew::reword(tx, event, now).await?;
                guests::reword(tx, event, now).await?;
                loans::reword(tx, event, &calendar, now).await?;
                press::reword(tx, event, now).await?;
                // In version 1, receipts were compared by their words, too.
                if was == 1 {
                    gifts::read_old_receipts(tx, event.id, &department).await?;
                }
                // So were call sheets until version 3, and overrides, of which version 2 missed some.
                if was < 3 {
                    crew::read_old_overrides(tx, event).await?;
                    crew::read_old_call_sheets(tx, event).await?;
                }
            }
            press::keep_open_readings(tx).await?;
            wording::set_version(tx, CURRENT).await
        })
    });
    write.await
}
