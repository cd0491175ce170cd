//! The press facts that a change of the event makes wrong.

use super::dates::names_own_times;
use super::fields::FIELDS;
use super::store;
use crate::countdown::MoveLine;
use crate::error::Result;
use crate::events::{Details, Event};
use sqlx::SqliteConnection;

/// Facts with a date or time in them.
pub(in crate::press) async fn moves(db: &mut SqliteConnection, event: &Event, to: &Details) -> Result<Vec<MoveLine>> {
    let from = &event.details;
    if (from.burn_on, from.burn_time) == (to.burn_on, to.burn_time) {
        return Ok(Vec::new());
    }
    let known = store::of_event(db, event.id).await?;
    let named = FIELDS.iter().filter(|field| names_own_times(from.burn_on, (field.of)(&known)));
    let lines = named.map(|field| MoveLine {
        what: format!("Check the press fact “{}”: it has a date or time in it", field.label.to_lowercase()),
        beneath: (field.of)(&known).clone(),
        href: format!("/events/{}/press/facts", event.id),
        is_open: false,
    });
    Ok(lines.collect())
}
