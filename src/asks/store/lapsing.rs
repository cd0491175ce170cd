//! Asks for dates that are no longer the event's.

use crate::db::Tx;
use crate::error::Result;
use crate::events::Event;
use time::OffsetDateTime;

/// An event's dates changed: what was said to a date that is no more never counts again, not
/// even if the event comes back to it. What is given for good follows burn day.
pub async fn lapse(tx: &mut Tx, old: &Event, new: &Event, now: OffsetDateTime) -> Result<()> {
    let (was, on, rain_on, at) = (old.details.burn_on, new.details.burn_on, new.details.rain_on, now.unix_timestamp());
    sqlx::query!(
        "update ask set for_on = ?, date_revision = ?
         where lapsed_at is null and for_on = ?
           and request_id in (select id from request where event_id = ? and kind = 'item')",
        on,
        new.date_revision,
        was,
        new.id
    )
    .execute(&mut **tx)
    .await?;
    sqlx::query!(
        "update ask set lapsed_at = ?
         where lapsed_at is null and for_on <> ? and for_on is not ?
           and request_id in (select id from request where event_id = ?)",
        at,
        on,
        rain_on,
        new.id
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}
