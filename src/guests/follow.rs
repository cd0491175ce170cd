//! Guests follow the event: arrival times move with the first fire, and invitations stay
//! up to date.

use super::snapshot::GuestSnapshot;
use super::{facts, store};
use crate::asks::{self, Request};
use crate::countdown::Following;
use crate::db::Tx;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use futures_util::future::BoxFuture;
use time::OffsetDateTime;

/// The other guests as they were when a guest was invited. Not updated later.
pub(super) const ALSO_EXPECTED: &str = "Also expected";

/// What changes for the guests when the event does.
#[must_use]
pub fn follow<'a>(tx: &'a mut Tx, change: Following<'a>) -> BoxFuture<'a, Result<()>> {
    Box::pin(async move {
        if let Some(later) = change.minutes_later() {
            store::move_arrivals(tx, change.actor, change.new, later, change.now).await?;
        }
        write_anew(tx, (change.old, change.new), change.now).await?;
        Ok(())
    })
}

/// Updates the facts in the guests' invitations after the list or the program changed.
/// Returns how many invitations changed.
pub(super) async fn refresh(tx: &mut Tx, event_id: i64, now: OffsetDateTime) -> Result<usize> {
    let event = events::find_in(tx, event_id).await?.ok_or(Error::NotFound)?;
    write_anew(tx, (&event, &event), now).await
}

/// Puts the facts in an event's invitations into this program's words.
pub async fn reword(tx: &mut Tx, event: &Event, now: OffsetDateTime) -> Result<()> {
    let snapshot = GuestSnapshot::load(tx, event).await?;
    asks::reword_all(tx, event, &facts(&snapshot), now).await
}

async fn write_anew(tx: &mut Tx, (known, event): (&Event, &Event), now: OffsetDateTime) -> Result<usize> {
    let snapshot = GuestSnapshot::load(tx, event).await?;
    asks::refresh_all(tx, known, &facts(&snapshot), now).await
}

/// The invitations, with the facts in each.
fn facts(snapshot: &GuestSnapshot) -> Vec<(&Request, Vec<(String, String)>)> {
    let mut all = Vec::new();
    for guest in &snapshot.guests {
        let Some(request) = &guest.request else { continue };
        let mut facts = facts::facts(snapshot, guest);
        facts.extend(request.facts.iter().filter(|(label, _)| label == ALSO_EXPECTED).cloned());
        all.push((request, facts));
    }
    all
}
