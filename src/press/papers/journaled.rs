//! How changes of a release are journaled.

use crate::db::journal::{Actor, Entry};

/// An entry about a release of an event.
pub(super) fn entry<'a>(
    actor: Actor,
    verb: &'static str,
    (event_id, paper_id): (i64, i64),
    title: &'a str,
) -> Entry<'a> {
    Entry {
        actor,
        verb,
        subject: "paper",
        subject_id: Some(paper_id),
        event_id: Some(event_id),
        title,
        before: None,
        after: None,
    }
}
