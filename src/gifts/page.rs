//! What the gift pages load.

use super::receipted::Receipted;
use super::{Gift, store};
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::mail::outbox;
use crate::state::App;

pub(super) async fn event(app: &App, id: i64) -> Result<Event> {
    events::found(app.db.read(), id).await
}

pub(super) async fn found(app: &App, event_id: i64, id: i64) -> Result<(Event, Gift)> {
    let event = event(app, event_id).await?;
    let gift = store::find(&mut *app.db.read().acquire().await?, event_id, id).await?;
    Ok((event, gift.ok_or(Error::NotFound)?))
}

/// The receipts for an event's gifts, newest first.
pub(super) async fn receipts(app: &App, event_id: i64) -> Result<Vec<Receipted>> {
    let mut db = app.db.read().acquire().await?;
    let mut all = Vec::new();
    for (gift_id, given) in store::receipts(&mut db, event_id).await? {
        let mail = match given.mail_id {
            Some(id) => outbox::find(&mut db, id).await?.map(|mail| mail.state),
            None => None,
        };
        all.push(Receipted { gift_id, given, mail });
    }
    Ok(all)
}
