//! Whom a change of the event doesn't reach by email.

use super::store;
use crate::countdown::MoveLine;
use crate::error::Result;
use crate::events::{Details, Event};
use crate::web::words;
use sqlx::SqliteConnection;

/// Media added to the list by hand, who are sent no question.
pub(in crate::press) async fn moves(db: &mut SqliteConnection, event: &Event, to: &Details) -> Result<Vec<MoveLine>> {
    let from = &event.details;
    if (from.burn_on, from.burn_time, &from.site) == (to.burn_on, to.burn_time, &to.site) {
        return Ok(Vec::new());
    }
    let visits = store::of_event(db, event.id).await?;
    let by_hand: Vec<String> = visits.into_iter().filter(|visit| visit.by_hand).map(|visit| visit.person).collect();
    let line = || MoveLine {
        what: format!("Call {} on the burn day media list", words::count(by_hand.len(), "person", "people")),
        beneath: format!("They were added by hand and get no email: {}", by_hand.join(", ")),
        href: format!("/events/{}/burn-day/press", event.id),
        is_open: false,
    };
    Ok((!by_hand.is_empty()).then(line).into_iter().collect())
}
