//! What the journal keeps about guests.

use super::settings::settings;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry};
use crate::error::Result;
use crate::guests::guest::Details;
use crate::people;
use serde_json::Value;

/// A guest's settings, as the journal keeps them.
pub(super) async fn journaled(tx: &mut Tx, details: &Details) -> Result<Value> {
    let responsible = match details.responsible {
        Some(id) => people::find(tx, id).await?.map(|person| person.details.name),
        None => None,
    };
    Ok(details.snapshot(&settings(tx).await?, responsible.as_deref()))
}

pub(super) fn entry<'a>(actor: Actor, verb: &'static str, (event_id, id): (i64, i64), name: &'a str) -> Entry<'a> {
    Entry {
        actor,
        verb,
        subject: "guest",
        subject_id: Some(id),
        event_id: Some(event_id),
        title: name,
        before: None,
        after: None,
    }
}
